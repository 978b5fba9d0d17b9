#!/bin/sh
# As root: builds the Debian packages, installs peepwright into a bare Debian made by debootstrap, runs the main job there
# as an ordinary user with no display, and compares the results with the build's own. Then the same for libpeepwright-dev:
# a project that embeds the numeric engine, where no CAD or drawing library is to be found. "package.sh BUILD" takes a
# build folder that is there; without one the preset "release" is built. Needs debootstrap, dpkg-dev and the network.
set -eu
cd "$(dirname "$0")/.."
[ "$(id -u)" = 0 ] || { echo "package.sh: must be root, for debootstrap and chroot" >&2; exit 2; }
for tool in debootstrap dpkg-shlibdeps cpack; do
  command -v "$tool" >/dev/null || { echo "package.sh: $tool is missing (Debian: debootstrap, dpkg-dev, cmake)" >&2; exit 2; }
done
fail() { echo "FAILED: $*" >&2; exit 1; }

build=${1:-build/release}
[ $# -gt 0 ] || cmake --workflow --preset release >&2
build=$(cd "$build" && pwd)
# The date inside is the release's, so that the same build always makes the same packages.
released=$(date -u -d "$(sed -n 's/^set(PEEPWRIGHT_RELEASE_DATE \([0-9-]*\)).*/\1/p' CMakeLists.txt)" +%s)
pack() {
  rm -rf "$build/$1"
  SOURCE_DATE_EPOCH=$released cpack --config "$build/CPackConfig.cmake" -B "$build/$1" >&2
  rm -rf "$build/$1/_CPack_Packages"
}
pack packages
pack packages-again
for package in "$build"/packages/*.deb; do
  cmp "$package" "$build/packages-again/${package##*/}" || fail "${package##*/} differs when it is made again"
done
rm -rf "$build/packages-again"
deb=$(ls "$build"/packages/peepwright_*.deb)
dpkg-deb --info "$deb"

root=$(mktemp -d)
trap 'rm -rf "$root"' EXIT
. /etc/os-release
debootstrap --variant=minbase "$VERSION_CODENAME" "$root/system" >"$root/debootstrap.log" || { tail "$root/debootstrap.log"; fail "debootstrap"; }
system=$root/system
# This machine's own ways to packages.
cp -r /etc/apt/apt.conf.d /etc/apt/sources.list.d "$system/etc/apt/"
[ ! -s /etc/apt/sources.list ] || cp /etc/apt/sources.list "$system/etc/apt/"
[ ! -d /usr/share/keyrings ] || cp -rn /usr/share/keyrings "$system/usr/share/"
cp /etc/resolv.conf "$system/etc/" 2>/dev/null || true
cp "$deb" "$system/peepwright.deb"
inside() { chroot "$system" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin DEBIAN_FRONTEND=noninteractive "$@"; }
before=$(inside dpkg-query -f '.\n' -W | wc -l)
apt() { inside apt-get -q -y "$@" >"$root/apt.log" 2>&1 || { tail -n 30 "$root/apt.log"; fail "apt-get $*"; }; }
apt update
apt install --no-install-recommends ./peepwright.deb
echo "packages in the bare system: $before, with peepwright: $(inside dpkg-query -f '.\n' -W | wc -l)"

files="archer.toml bow.toml arrow.toml"
# shellcheck disable=SC2086  # the names are words on purpose
(cd examples/first-fit && "$build/cli/peepwright" fit $files --quiet -o "$root/here")
mkdir -m 777 "$system/out"
as_user() { chroot --userspec=nobody "$system" env -i PATH=/usr/bin:/bin sh -c "$1"; }
[ "$(as_user 'peepwright --version' | head -n 1)" = "$("$build/cli/peepwright" --version | head -n 1)" ] || fail "--version"
as_user "cd /usr/share/doc/peepwright/examples/first-fit && peepwright fit $files -o /out/first-fit" >"$root/report" || fail "peepwright fit"
head -n 12 "$root/report"
mark() { sed -n 's/^ *"mark_from_nock_top_mm": \([0-9.]*\),*$/\1/p' "$1" | head -n 1; }
here=$(mark "$root/here/fit.json")
there=$(mark "$system/out/first-fit/fit.json")
[ -n "$here" ] && [ "$here" = "$there" ] || fail "the mark is \"$there\" there and \"$here\" here"
for file in "$root"/here/*; do
  cmp "$file" "$system/out/first-fit/${file##*/}" || fail "${file##*/} differs"
done
[ -s "$system/usr/share/man/man1/peepwright.1.gz" ] || fail "no man page"
inside bash -c 'source /usr/share/bash-completion/completions/peepwright && complete -p peepwright' >/dev/null || fail "no bash completion"

apt purge --autoremove peepwright
left=$(find "$system/usr" "$system/etc" "$system/var/lib" -name '*peepwright*' ! -path '*/apt/*' | head)
[ -z "$left" ] || fail "left behind: $left"
echo "the mark in the bare system, and here: $there mm; every file the same; removed without a trace"

cp "$build"/packages/libpeepwright-dev_*.deb "$system/dev.deb"
apt install --no-install-recommends ./dev.deb g++ cmake make
found=$(find "$system/usr" \( -name 'libTK*' -o -name 'libcairo*' -o -name CGAL \) | head -n 3)
[ -z "$found" ] || fail "the bare system has CAD or drawing libraries: $found"
cp -r tests/consumer examples/first-fit "$system/out/"
inside sh -c 'cmake -S /out/consumer -B /out/consumer-build && cmake --build /out/consumer-build' >"$root/consumer.log" 2>&1 ||
  { tail -n 20 "$root/consumer.log"; fail "the consumer does not build"; }
embedded=$(as_user 'cd /out/first-fit && /out/consumer-build/mark archer.toml bow.toml arrow.toml')
[ "${embedded% *}" = "$(LC_ALL=C printf '%.4f' "$here")" ] || fail "the consumer's mark is $embedded, the program's $here"
echo "a project against libpeepwright-dev there: $embedded mm, with no CAD or drawing library in the system"
