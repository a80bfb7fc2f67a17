# shellcheck shell=bash
# The steps of .ci/run. Sourced by it, never run.
# shellcheck disable=SC2154 # $scratch is set by .ci/run

example=openapi/examples/kestrel-bank.json
server_image=estimator-test-postgres:15
network=estimator-ci-$$

# --- running a step, and what is said of it ---------------------------------------------------------------------------

current="start"
summary=()
skipped=0

# step NAME COMMAND...: a heading, the command, the time it took. A failure ends the run.
step() {
  local started=$SECONDS
  current=$1
  shift
  printf '\n==> %s\n' "$current"
  "$@"
  summary+=("$(printf 'passed   %5d s  %s' $((SECONDS - started)) "$current")")
  printf -- '--- %s: passed in %d s\n' "$current" $((SECONDS - started))
}

# skip NAME REASON: what this machine cannot do, said loudly.
skip() {
  printf '\n==> %s\n*** SKIPPED: %s\n' "$1" "$2"
  summary+=("$(printf 'SKIPPED          %s: %s' "$1" "$2")")
  skipped=$((skipped + 1))
}

# finish STATUS: stops everything that was started, then sums up. Run on the way out, whatever the way.
finish() {
  local status=$1 log
  set +e
  trap - EXIT
  stop_service
  stop_server
  remove_containers
  remove_test_containers
  if [ "$status" -ne 0 ]; then
    for log in "$scratch"/*.log; do
      [ -s "$log" ] && printf '\n--- the end of %s\n' "${log##*/}" && tail -n 40 "$log"
    done
  fi
  rm -rf "$scratch"

  printf '\n==> summary\n'
  if [ ${#summary[@]} -gt 0 ]; then printf '%s\n' "${summary[@]}"; fi
  if [ "$status" -eq 0 ]; then
    printf 'All steps passed in %d min %d s, %d skipped.\n' $((SECONDS / 60)) $((SECONDS % 60)) "$skipped"
  else
    printf 'FAILED at "%s" after %d min %d s.\n' "$current" $((SECONDS / 60)) $((SECONDS % 60))
  fi
  exit "$status"
}

# --- tools ------------------------------------------------------------------------------------------------------------

install_tools() {
  need curl
  need git
  if [ -z "$(postgres_programs)" ]; then install_package postgresql; fi
  if docker_answers; then need mmdebstrap; fi
  # Built without optimisation: it runs for seconds, and takes minutes to optimise.
  if ! command -v cargo-deny >/dev/null; then
    CARGO_PROFILE_DEV_DEBUG=0 cargo install --debug --locked --quiet --version 0.20.2 cargo-deny </dev/null
  fi
  rustc --version
  cargo deny --version
  "$(postgres_programs)/postgres" --version
  if docker_answers; then docker version --format 'docker {{ .Server.Version }}'; fi
}

# The folder of the newest Postgres server that Debian's packages have put on this machine, or nothing.
postgres_programs() {
  find /usr/lib/postgresql -path '*/bin/initdb' 2>/dev/null | sort -V | tail -n 1 | xargs -r dirname
}

# --- tests ------------------------------------------------------------------------------------------------------------

# readme COMMAND: runs a command that README.md tells people to run, and fails where README.md has it no longer.
readme() {
  grep -qF -- "$1" README.md || { echo "README.md has no longer: $1" >&2; return 1; }
  bash -c "$1" </dev/null
}

# expect_database KIND COMMAND...: the tests must pass, and must say that they ran on that kind of database, so that a
# quiet fall back to another one is no success.
expect_database() {
  local kind=$1
  shift
  "$@" 2>&1 | tee "$scratch/tests"
  grep -q "database: $kind" "$scratch/tests" || { echo "The tests did not run on this database: $kind" >&2; return 1; }
}

# The test command of the README, as it stands there.
test_in_container() {
  containers_before=$(test_containers)
  expect_database container readme "cargo test --workspace"
  remove_test_containers
}

# A test container ends by itself some seconds after its test program; one that does not is removed here. Those of other
# people's runs are left alone.
containers_before=unknown
remove_test_containers() {
  [ "$containers_before" != unknown ] || return 0
  test_containers | grep -vxF "${containers_before:-none}" | xargs -r docker rm --force --volumes >/dev/null 2>&1 || true
}

test_containers() {
  docker ps --all --quiet --filter label=org.testcontainers.managed-by=testcontainers --filter "ancestor=$server_image"
}

# What the recipe for building models needs, for the tests that try it: without it they say that they did not.
install_recipe_libraries() {
  python3 -m venv "$scratch/recipes" </dev/null || return 1
  "$scratch/recipes/bin/pip" install --quiet --disable-pip-version-check 'ifcopenshell==0.9.*' 'shapely==2.*' </dev/null ||
    return 1
  export RECIPES_PYTHON=$scratch/recipes/bin/python
}

test_on_server() {
  start_server
  TEST_DATABASE_URL="postgres://postgres@127.0.0.1:$server_port/postgres" \
    expect_database TEST_DATABASE_URL cargo test --locked -p end-to-end
  stop_server
}

test_embedded() {
  TEST_DATABASE=embedded expect_database embedded cargo test --locked -p end-to-end
}

# --- a throw-away Postgres server from Debian's programs --------------------------------------------------------------

server_port=
server_folder=
as_server=()

start_server() {
  local programs
  programs=$(postgres_programs)
  server_port=$(free_port)
  server_folder=$(mktemp -d)
  # Postgres refuses to run as root.
  as_server=()
  if [ "$(id -u)" -eq 0 ]; then
    chown postgres "$server_folder"
    as_server=(runuser -u postgres --)
  fi
  "${as_server[@]}" "$programs/initdb" -D "$server_folder/data" -U postgres -A trust -E UTF8 --locale=C.UTF-8 --no-sync \
    >"$scratch/initdb.log"
  "${as_server[@]}" "$programs/pg_ctl" -D "$server_folder/data" -l "$server_folder/log" -w -t 60 start -o "\
    -p $server_port -c listen_addresses=127.0.0.1 -c unix_socket_directories=$server_folder -c max_connections=300 \
    -c fsync=off -c synchronous_commit=off -c full_page_writes=off" >/dev/null </dev/null
}

stop_server() {
  [ -n "$server_folder" ] || return 0
  "${as_server[@]}" "$(postgres_programs)/pg_ctl" -D "$server_folder/data" -m immediate stop >/dev/null 2>&1 || true
  rm -rf "$server_folder"
  server_folder=
}

# A port of the loopback address that nothing listens on.
free_port() {
  local port
  while port=$((20000 + RANDOM % 10000)) && (exec 3<>"/dev/tcp/127.0.0.1/$port") 2>/dev/null; do :; done
  echo "$port"
}

# --- contract and dependencies ----------------------------------------------------------------------------------------

compare_contract() {
  cargo run --locked --quiet -p estimator -- openapi >"$scratch/openapi.json" </dev/null
  diff -u openapi/openapi.json "$scratch/openapi.json" ||
    { echo "Mend with: cargo run -- openapi > openapi/openapi.json" >&2; return 1; }
}

check_dependencies() {
  cargo deny --locked check bans licenses sources
  # deny.toml excepts two crates on the ground that the Docker image has neither.
  cargo tree --locked -p estimator --no-default-features -e normal,build --prefix none -f '{p} {l}' >"$scratch/tree"
  ! grep MPL "$scratch/tree"
}

advisories_reachable() {
  GIT_TERMINAL_PROMPT=0 timeout 20 git ls-remote --quiet --heads https://github.com/RustSec/advisory-db main \
    >/dev/null 2>&1 </dev/null
}

# --- the README's commands --------------------------------------------------------------------------------------------

price_example() {
  readme "cargo run -- price $example" >"$scratch/priced"
  head -n 30 "$scratch/priced"
  grep -qE '^ *Gross +[0-9,]+\.[0-9]{2}$' "$scratch/priced" || { echo "no gross price in the table" >&2; return 1; }
}

service=

# `cargo run` puts the service in its own place, so that the number kept is the service's.
start_service() {
  LISTEN="127.0.0.1:$1" DATA_DIR="$scratch/data" cargo run --locked --quiet >"$scratch/service.log" 2>&1 </dev/null &
  service=$!
  wait_for_status 200 "http://127.0.0.1:$1/health/ready" 60
}

# Asks it to stop, and fails unless it ends by itself and well.
stop_service() {
  local stopped=$service
  [ -n "$stopped" ] || return 0
  service=
  kill "$stopped" 2>/dev/null || true
  wait "$stopped"
}

# wait_for_status STATUS URL SECONDS
wait_for_status() {
  local tries=$(($3 * 4)) found=
  while [ "$tries" -gt 0 ]; do
    found=$(curl -s -o /dev/null -m 5 -w '%{http_code}' "$2" || true)
    [ "$found" = "$1" ] && return
    tries=$((tries - 1))
    sleep 0.25
  done
  echo "$2 answered ${found:-nothing} for $3 s, not $1" >&2
  return 1
}

# request STATUS URL [curl option...]: the answer goes to $scratch/answer, its head to $scratch/head.
request() {
  local wanted=$1 url=$2 found
  shift 2
  found=$(curl -sS -m 30 -D "$scratch/head" -o "$scratch/answer" -w '%{http_code}' "$@" "$url")
  if [ "$found" != "$wanted" ]; then
    echo "$url answered $found, not $wanted:" >&2
    head -c 2000 "$scratch/answer" >&2
    return 1
  fi
}

# The path that the last answer said its new resource has.
location() {
  sed -n 's/^[Ll]ocation: *\([^[:space:]]*\).*/\1/p' "$scratch/head"
}

serve_and_restart() {
  local port base path
  port=$(free_port)
  base=http://127.0.0.1:$port
  start_service "$port"

  # The line that the service prints for people to try must work as it stands.
  local line
  line=$(grep -m 1 -o 'curl .*' "$scratch/service.log")
  echo "$line"
  bash -c "$line" >"$scratch/printed" 2>"$scratch/curl.log" </dev/null
  grep -q '"totals"' "$scratch/printed"

  request 201 "$base/v1/estimates" -H 'content-type: application/json' --data-binary "@$example"
  path=$(location)
  cp "$scratch/answer" "$scratch/before"
  stop_service

  start_service "$port"
  request 200 "$base$path"
  cmp "$scratch/before" "$scratch/answer"
  echo "$path comes back to the byte after a restart"
  stop_service
}

# --- the Docker image -------------------------------------------------------------------------------------------------

# The build stage has a name of its own, so that its layers, dependencies built among them, are there next time.
build_image() {
  local arguments=(--force-rm --build-arg BUILD_IMAGE=estimator-base-build:bookworm
    --build-arg RUN_IMAGE=estimator-base-run:bookworm)
  docker build "${arguments[@]}" --target build --tag estimator-build:ci . </dev/null >"$scratch/docker-build.log" 2>&1
  docker build "${arguments[@]}" --tag estimator:ci . </dev/null >>"$scratch/docker-build.log" 2>&1
  docker image prune --force --filter label=stage=estimator-build >/dev/null
  docker image ls estimator
}

# The image as an orchestrator would run it: read-only, no capability, beside a Postgres on a network of their own.
try_image() {
  local key base path
  docker network create "$network" >/dev/null
  docker run --detach --name "$network-db" --network "$network" --network-alias db \
    --env POSTGRES_PASSWORD=for-this-run-only "$server_image" >/dev/null
  docker run --detach --name "$network-service" --network "$network" --publish 127.0.0.1::8080 \
    --read-only --cap-drop ALL --security-opt no-new-privileges \
    --env DATABASE_URL=postgres://postgres:for-this-run-only@db:5432/postgres estimator:ci >/dev/null
  base=http://$(docker port "$network-service" 8080/tcp | head -n 1)
  wait_for_status 200 "$base/health/ready" 60
  wait_for_health

  key=$(docker exec "$network-service" estimator keys create --firm demo | tail -n 1)
  request 401 "$base/v1/estimates" -H 'content-type: application/json' --data-binary "@$example"
  request 201 "$base/v1/estimates" -H "authorization: Bearer $key" \
    -H 'content-type: application/json' --data-binary "@$example"
  path=$(location)
  request 200 "$base$path" -H "authorization: Bearer $key"
  echo "the image answers /health/ready and priced $path"

  docker stop --time 20 "$network-service" >/dev/null
  [ "$(docker inspect --format '{{ .State.ExitCode }}' "$network-service")" = 0 ]
  remove_containers
}

# The image's own health check has to come to the same verdict.
wait_for_health() {
  local tries=60
  until [ "$(docker inspect --format '{{ .State.Health.Status }}' "$network-service")" = healthy ]; do
    tries=$((tries - 1))
    [ "$tries" -gt 0 ] || { echo "the health check never passed" >&2; return 1; }
    sleep 1
  done
}

remove_containers() {
  docker_answers || return 0
  local name
  for name in service db; do
    docker inspect "$network-$name" >/dev/null 2>&1 || continue
    docker logs "$network-$name" >"$scratch/$name.log" 2>&1 || true
    docker rm --force --volumes "$network-$name" >/dev/null
  done
  if docker network inspect "$network" >/dev/null 2>&1; then docker network rm "$network" >/dev/null; fi
}
