@echo off
rem Install Curewright without a network: install.cmd [FOLDER]
setlocal
set "HERE=%~dp0"
where py >nul 2>nul
if %errorlevel%==0 (
  py -3 "%HERE%install.py" %*
) else (
  python "%HERE%install.py" %*
)
set "CODE=%errorlevel%"
if %CODE%==9009 echo There is no Python on this machine. Install Python 3.11, 3.12 or 3.13 (64 bit) and run this again.
if not defined CUREWRIGHT_NO_PAUSE pause
exit /b %CODE%
