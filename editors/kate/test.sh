#!/bin/bash
# Runs the server in a real Kate under a virtual display, driven by what it tells
# assistive technology.
. "$(dirname "$0")/../common.sh"
need kate xdotool xclip dbus-daemon dbus-bin python3-pyatspi at-spi2-core
prepare
mkdir -p "$XDG_CONFIG_HOME/kate/lspclient" "$XDG_DATA_HOME/kate"
cp "$here/settings.json" "$XDG_CONFIG_HOME/kate/lspclient/settings.json"
# A fresh profile with the LSP Client plugin switched on, and nothing in the way.
cat > "$XDG_CONFIG_HOME/katerc" <<'END'
[General]
Show welcome view for new window=false
Startup Session=new

[Kate Plugins]
lspclientplugin=true
END
cp "$XDG_CONFIG_HOME/katerc" "$XDG_DATA_HOME/kate/anonymous.katesession"
display 1280x800
export QT_LINUX_ACCESSIBILITY_ALWAYS_ON=1 LANG=C.UTF-8 FOURFOLD_PICTURE_FOLDER=$scratch
[ "${FOURFOLD_PICTURES:-}" = yes ] && FOURFOLD_PICTURE_FOLDER=$here
cd "$scratch/scores"
timeout 300 dbus-run-session -- /usr/bin/python3 "$here/test.py" || true
undisplay
judge
say "Kate $(dpkg-query -W -f '${Version}' kate): all holds"
