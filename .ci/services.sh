# Sourced by .ci/run: a PostgreSQL and a Redis of our own, for one run.
# Both listen on unix sockets in a private folder only, so no port can be taken and two runs cannot meet;
# both die with this shell, even when it is killed, since the kernel sends them the signal.
# Gives: services_start, services_stop; sets DATABASE_URL, REDIS_URL, CELERY_BROKER_URL.

services_folder=
postgres_pid=
redis_pid=

# As root the servers run as 'postgres' (PostgreSQL refuses root), else as we are.
as_server() {
  cd "$services_folder" || exit 1
  if [ "$(id -u)" = 0 ]; then
    exec setpriv --reuid=postgres --regid="$(id -g postgres)" --clear-groups --pdeathsig INT -- \
      env HOME="$services_folder" "$@"
  fi
  exec setpriv --pdeathsig INT -- "$@"
}

# A child that has ended and was not waited for is a zombie, which 'kill -0' takes for alive.
is_running() {
  [ -r "/proc/$1/status" ] && ! grep -q '^State:[[:space:]]*Z' "/proc/$1/status" 2>/dev/null
}

services_failed() {
  printf 'The services did not start (%s); their logs:\n' "$1" >&2
  cat "$services_folder"/*.log >&2 || true
  services_stop
  return 1
}

services_start() {
  local bin turn
  bin=$(printf '%s\n' /usr/lib/postgresql/*/bin | sort -V | tail -n 1)
  services_folder=$(mktemp -d -t resinwright-services.XXXXXX)
  if [ "$(id -u)" = 0 ]; then chown postgres "$services_folder"; fi
  chmod 755 "$services_folder"
  (as_server "$bin/initdb" -D "$services_folder/data" -U ci -A trust -E UTF8 --locale=C.UTF-8 --no-sync) \
    >"$services_folder/initdb.log" 2>&1 </dev/null || { services_failed initdb; return 1; }
  # Nothing here outlives the run, so nothing needs to reach the disk.
  (as_server "$bin/postgres" -D "$services_folder/data" -k "$services_folder" -c listen_addresses= -c fsync=off \
    -c synchronous_commit=off -c full_page_writes=off -c max_connections=80) \
    >"$services_folder/postgres.log" 2>&1 </dev/null &
  postgres_pid=$!
  (as_server redis-server --port 0 --unixsocket "$services_folder/redis.sock" --unixsocketperm 777 --save '' \
    --appendonly no --dir "$services_folder") >"$services_folder/redis.log" 2>&1 </dev/null &
  redis_pid=$!
  for turn in $(seq 300); do
    is_running "$postgres_pid" || { services_failed postgres; return 1; }
    is_running "$redis_pid" || { services_failed redis; return 1; }
    if "$bin/pg_isready" -q -h "$services_folder" && redis-cli -s "$services_folder/redis.sock" ping >/dev/null 2>&1; then
      break
    fi
    [ "$turn" -lt 300 ] || { services_failed 'not ready in 30 s'; return 1; }
    sleep 0.1
  done
  "$bin/createdb" -h "$services_folder" -U ci ci || { services_failed createdb; return 1; }
  export DATABASE_URL="postgres://ci@/ci?host=$services_folder"
  export REDIS_URL="unix://$services_folder/redis.sock?db=0"
  export CELERY_BROKER_URL="redis+socket://$services_folder/redis.sock?virtual_host=1"
}

services_stop() {
  local pid turn
  for pid in $redis_pid $postgres_pid; do
    kill -INT "$pid" 2>/dev/null || true
    for turn in $(seq 100); do
      is_running "$pid" || break
      [ "$turn" != 80 ] || kill -QUIT "$pid" 2>/dev/null || true
      sleep 0.05
    done
    wait "$pid" 2>/dev/null || true
  done
  if [ -n "$services_folder" ]; then rm -rf "$services_folder"; fi
  postgres_pid= redis_pid= services_folder=
  unset DATABASE_URL REDIS_URL CELERY_BROKER_URL
}
