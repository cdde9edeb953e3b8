@echo off
rem Starts bodytest from an unpacked copy: looks for a Python that is new enough and hands over to start.py.
setlocal
set "PYTHONUTF8=1"
set "FOUND="
set "ENOUGH=import sys; sys.exit(sys.version_info < (3, 11))"
for %%P in ("py -3" "python" "python3") do (
    if not defined FOUND (
        %%~P -c "%ENOUGH%" >nul 2>nul
        if not errorlevel 1 set "FOUND=%%~P"
    )
)
if not defined FOUND goto none
%FOUND% "%~dp0start.py" %*
if errorlevel 1 goto stay
exit /b 0

:none
echo bodytest needs Python 3.11 or later; none was found on this computer.
echo Take it from https://www.python.org/downloads/windows/ and tick "Add python.exe to PATH" when installing.
echo Then start again.

:stay
pause
exit /b 1
