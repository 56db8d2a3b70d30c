#!/bin/sh
# fetch.sh FOLDER PACKAGE...: puts packages of Debian 13, with all that they stand
# on, into a folder of their own; nothing is installed. FOLDER/run PROGRAM runs one
# of them with its own libraries, on any Debian.
set -eu
root=$(mkdir -p "$1" && cd "$1" && pwd)
shift
apt="$root/apt"
mkdir -p "$apt/state/lists/partial" "$apt/cache/archives/partial"
: > "$apt/state/status"
# From where this machine has its own packages.
archive=$(apt-get indextargets --format '$(REPO_URI)' 'Created-By: Packages' | grep '/debian/$' | head -n 1)
echo "deb [signed-by=/usr/share/keyrings/debian-archive-keyring.gpg] $archive trixie main" > "$apt/sources.list"
cat > "$apt/apt.conf" <<CONF
Dir::State "$apt/state";
Dir::State::status "$apt/state/status";
Dir::Cache "$apt/cache";
Dir::Etc::sourcelist "$apt/sources.list";
Dir::Etc::sourceparts "-";
APT::Install-Recommends "false";
Acquire::Languages "none";
CONF
apt-get -qq -c "$apt/apt.conf" update
apt-get -qq -y -c "$apt/apt.conf" install --download-only "$@"
for package in "$apt"/cache/archives/*.deb; do dpkg -x "$package" "$root"; done
rm -r "$apt"
lib=usr/lib/$(dpkg-architecture -qDEB_HOST_MULTIARCH 2>/dev/null || echo x86_64-linux-gnu)
cat > "$root/run" <<RUN
#!/bin/sh
program=\$1
shift
exec "$root/usr/lib64/ld-linux-x86-64.so.2" --library-path "$root/$lib:$root/$lib/libproxy" "$root/usr/bin/\$program" "\$@"
RUN
chmod +x "$root/run"
