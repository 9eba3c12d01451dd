#!/usr/bin/env bash
# Proves the two commands of the README on a bare Debian 12: makes one in a
# folder (minbase and git, nothing else), clones this checkout into it, runs
# `./dev run` until the page answers and the terminal has shown bites, then
# `./dev test`, and prints how long each took. The mirror, the proxy and the
# certificates are those of the machine it runs on.
#
#   tools/bare-debian.sh FOLDER [run|test ...]
#
# FOLDER must be new or made by this script; it stays afterwards. Wants root
# and debootstrap.
set -euo pipefail
checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)

die() {
  printf 'bare-debian: %s\n' "$*" >&2
  exit 1
}
say() { printf '== %s\n' "$*"; }

[ $# -ge 1 ] || die "usage: tools/bare-debian.sh FOLDER [run|test ...]"
[ "$(id -u)" = 0 ] || die "needs root"
command -v debootstrap >/dev/null || die "install debootstrap first"
root=$(realpath -m "$1")
shift
steps=("$@")
[ "${#steps[@]}" -gt 0 ] || steps=(run test)
home=/home/maker

# --- the machine's own ways to the package mirrors ---------------------------

# Lines "URI RELEASE COMPONENT" of this machine's Debian 12 sources.
host_sources() {
  # shellcheck disable=SC2016 # the format's own variables, not the shell's
  apt-get indextargets --format '$(REPO_URI) $(RELEASE) $(COMPONENT)' \
    'Identifier: Packages' | awk '$2 ~ /^bookworm/' | sort -u
}

write_apt_configuration() {
  local apt=$root/etc/apt
  host_sources | sed 's/^/deb /' >"$apt/sources.list"
  apt-config dump | grep -E '^Acquire::[^ ]*(Proxy|CaInfo)' \
    >"$apt/apt.conf.d/90host" || true
}

copy_certificates() {
  local file
  mkdir -p "$root/usr/local/share/ca-certificates"
  cp -rL /usr/local/share/ca-certificates/. \
    "$root/usr/local/share/ca-certificates/" 2>/dev/null || true
  for file in "${NODE_EXTRA_CA_CERTS:-}" "${SSL_CERT_FILE:-}"; do
    [ -f "$file" ] || continue
    mkdir -p "$root/$(dirname "$file")"
    cp -L "$file" "$root/$file"
  done
  cp -L /etc/resolv.conf /etc/hosts "$root/etc/" 2>/dev/null || true
}

# What the chroot's commands see: this machine's proxies and npm registry, and
# nothing else of its environment.
environment=(
  "HOME=$home" PATH=/usr/sbin:/usr/bin:/sbin:/bin TERM=dumb LANG=C.UTF-8)
collect_environment() {
  local name registry
  for name in http_proxy https_proxy no_proxy HTTP_PROXY HTTPS_PROXY NO_PROXY \
    NODE_EXTRA_CA_CERTS; do
    [ -n "${!name:-}" ] && environment+=("$name=${!name}")
  done
  if command -v npm >/dev/null; then
    registry=$(npm config get registry)
    environment+=("NPM_CONFIG_REGISTRY=$registry")
  fi
}

# --- the bare system ---------------------------------------------------------

mounted=()
mount_at() { # mount_at FOLDER [mount options]
  local folder=$root/$1
  shift
  mkdir -p "$folder"
  mount "$@" "$folder"
  mounted=("$folder" "${mounted[@]}")
}

running=""
clean_up() {
  [ -z "$running" ] || kill -INT -- "-$running" 2>/dev/null || true
  local folder
  for folder in "${mounted[@]}"; do
    umount "$folder" || umount --lazy "$folder" || true
  done
}
trap clean_up EXIT

make_system() {
  local mirror
  [ -z "$(ls -A "$root" 2>/dev/null)" ] || {
    [ -e "$root/.made-by-bare-debian" ] || die "$root is not empty"
    say "using the system that is there"
    return
  }
  mirror=$(host_sources | awk '$2 == "bookworm" { print $1; exit }')
  [ -n "$mirror" ] || die "no source of bookworm in this machine's apt"
  say "making a bare Debian 12 in $root"
  debootstrap --variant=minbase --include=git bookworm "$root" "$mirror" \
    >"$root.debootstrap.log" 2>&1 || {
    tail -n 20 "$root.debootstrap.log" >&2
    die "debootstrap failed"
  }
  touch "$root/.made-by-bare-debian"
}

mount_system() {
  mount_at proc -t proc proc
  mount_at sys -t sysfs sys
  mount_at dev --bind /dev
  mount_at dev/pts --bind /dev/pts
  mount_at dev/shm -t tmpfs tmpfs
}

inside() {
  chroot "$root" env -i "${environment[@]}" \
    bash -c 'cd ~/masseter && exec "$@"' bash "$@"
}

clone_checkout() {
  rm -rf "${root:?}$home/masseter"
  mkdir -p "$root$home"
  git clone --quiet --no-hardlinks "$checkout" "$root$home/masseter"
  chown -R 0:0 "$root$home"
}

# --- the two proofs ----------------------------------------------------------

answers() { # answers URL
  curl --silent --fail --noproxy '*' --max-time 5 --output /dev/null "$1"
}

prove_run() {
  local log=$root/run.log start=$SECONDS url="" page_at="" bites=0
  say "./dev run"
  set -m
  inside ./dev run >"$log" 2>&1 &
  running=$!
  set +m
  while kill -0 "$running" 2>/dev/null && [ $((SECONDS - start)) -lt 1500 ]; do
    sleep 1
    url=$(grep -oE 'http://[0-9A-Za-z.:-]+' "$log" | grep -E ':[0-9]+$' |
      tail -n 1 || true)
    if [ -z "$page_at" ] && [ -n "$url" ] && answers "$url/"; then
      page_at=$((SECONDS - start))
      say "the page answers at $url after $page_at s"
    fi
    bites=$(grep -cE '[0-9] (±|\+-|\+/-) [0-9.]+ N' "$log" || true)
    [ -n "$page_at" ] && [ "$bites" -ge 3 ] && break
  done
  local took=$((SECONDS - start))
  kill -INT -- "-$running" 2>/dev/null || true
  wait "$running" 2>/dev/null || true
  running=""
  tail -n 12 "$log"
  [ -n "$page_at" ] || die "no page answered; see $log"
  [ "$bites" -ge 3 ] || die "fewer than 3 bites in the terminal; see $log"
  say "./dev run: page after $page_at s, three bites after $took s"
}

prove_test() {
  local log=$root/test.log start=$SECONDS code=0
  say "./dev test"
  inside ./dev test >"$log" 2>&1 || code=$?
  tail -n 3 "$log"
  [ "$code" = 0 ] || die "./dev test failed; see $log"
  say "./dev test: $((SECONDS - start)) s on $(nproc) cores"
}

make_system
write_apt_configuration
copy_certificates
collect_environment
mount_system
clone_checkout
for step in "${steps[@]}"; do
  case $step in
    run) prove_run ;;
    test) prove_test ;;
    *) die "no such step: $step" ;;
  esac
done
