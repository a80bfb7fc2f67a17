# shellcheck shell=bash
# What the scripts in this folder share: asking for a Debian package, and making an image from Debian's packages.
# Sourced, never run.

# A Docker engine that answers, not merely a client that is installed.
docker_answers() {
  command -v docker >/dev/null && timeout 20 docker info >/dev/null 2>&1
}

# install_package PACKAGE: one of Debian's packages, where we may.
install_package() {
  if [ "$(id -u)" -ne 0 ]; then
    echo "A package is missing. Install it as root: apt-get install $1" >&2
    return 1
  fi
  # Standard input is closed and questions are off, so that no package waits for an answer.
  apt-get update -qq </dev/null
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$1" </dev/null >/dev/null
}

# need PROGRAM: the package of that name, unless the program is there already.
need() {
  command -v "$1" >/dev/null || install_package "$1"
}

# recipe FILE...: one digest of the files that say how an image is made, with what else is piped in.
recipe() {
  cat - "$@" | sha256sum | cut -c1-16
}

# image_is_current IMAGE RECIPE: true where IMAGE is there and was made by this very recipe.
image_is_current() {
  [ "$(docker image inspect --format '{{ index .Config.Labels "recipe" }}' "$1" 2>/dev/null)" = "$2" ]
}

# import_debian IMAGE RECIPE PACKAGES [mmdebstrap option...] -- [docker import option...]
# A Debian 12 of nothing but PACKAGES and what they need, as an image of one layer.
import_debian() {
  local image=$1 recipe=$2 packages=$3 log replaced
  shift 3
  local bootstrap=(--variant=minbase --include="$packages")
  while [ "$1" != -- ]; do bootstrap+=("$1") && shift; done
  shift
  need mmdebstrap
  replaced=$(docker image inspect --format '{{ .Id }}' "$image" 2>/dev/null || true)
  log=$(mktemp)
  # shellcheck disable=SC2086 # DEBIAN_MIRROR is one word, or nothing at all
  if ! mmdebstrap "${bootstrap[@]}" bookworm - ${DEBIAN_MIRROR:-} 2>"$log" </dev/null |
    docker import --change "LABEL recipe=$recipe" "$@" - "$image" >/dev/null; then
    tail -n 30 "$log" >&2
    rm -f "$log"
    return 1
  fi
  rm -f "$log"
  # What the new image has replaced would stay behind without a name.
  if [ -n "$replaced" ]; then docker image rm "$replaced" >/dev/null 2>&1 || true; fi
}
