#!/bin/sh
# A sweep as a job array of a real Slurm: a single node is set up for it on this machine, on loopback, runs
# examples/sweep-array.slurm, and is taken down again; the joined table must equal an unsplit sweep's, byte for byte.
# Debian 12, as root; installs slurm-wlm and munge where they are missing and changes no configuration of theirs.
#   sh tests/slurm.sh [peepwright]
set -eu
cd "$(dirname "$0")/.."
program=${1:-build/dev/cli/peepwright}
[ -x "$program" ] || { echo "tests/slurm.sh: $program is not there; build it, or name the program" >&2; exit 2; }
program=$(realpath "$program")
[ "$(id -u)" = 0 ] || { echo "tests/slurm.sh: Slurm's daemons want root" >&2; exit 2; }
missing=
for package in slurm-wlm munge; do
  dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || missing="$missing $package"
done
if [ -n "$missing" ]; then
  apt-get update -q >&2
  # shellcheck disable=SC2086  # the list is words on purpose
  DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends $missing >&2
fi

node=$(mktemp -d)
chmod 755 "$node"
# Each daemon has written its process id there, and only that process is ended.
take_down() {
  status=$?
  for daemon in slurmd slurmctld munged; do
    [ ! -s "$node/$daemon.pid" ] || kill "$(cat "$node/$daemon.pid")" 2>/dev/null || true
  done
  if [ "$status" -ne 0 ]; then
    for log in slurmctld slurmd munged; do echo "--- $log" >&2; tail -n 20 "$node/$log.log" >&2 2>/dev/null || true; done
  fi
  sleep 1
  rm -rf "$node"
  exit "$status"
}
trap take_down EXIT
trap 'exit 1' INT TERM

dd if=/dev/urandom of="$node/munge.key" bs=1024 count=1 2>/dev/null
chmod 400 "$node/munge.key"
munged --force --key-file="$node/munge.key" --socket="$node/munge.socket" --pid-file="$node/munged.pid" \
    --log-file="$node/munged.log" --seed-file="$node/munge.seed"

host=$(hostname -s)
memory=$(($(sed -n 's/^MemTotal: *\([0-9]*\) kB/\1/p' /proc/meminfo) / 1024))
# No cgroups, no accounting: nothing that a container or a small virtual machine may lack.
cat >"$node/slurm.conf" <<CONF
ClusterName=throwaway
SlurmctldHost=$host(127.0.0.1)
SlurmUser=root
AuthType=auth/munge
AuthInfo=socket=$node/munge.socket
SlurmctldPort=${SLURMCTLD_PORT:-36817}
SlurmdPort=${SLURMD_PORT:-36818}
CommunicationParameters=NoInAddrAny,NoCtldInAddrAny
StateSaveLocation=$node/state
SlurmdSpoolDir=$node/spool
SlurmctldPidFile=$node/slurmctld.pid
SlurmdPidFile=$node/slurmd.pid
SlurmctldLogFile=$node/slurmctld.log
SlurmdLogFile=$node/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
ReturnToService=2
NodeName=here NodeHostname=$host NodeAddr=127.0.0.1 CPUs=$(nproc) RealMemory=$memory State=UNKNOWN
PartitionName=all Nodes=here Default=YES MaxTime=INFINITE State=UP
CONF
mkdir "$node/state" "$node/spool"
export SLURM_CONF="$node/slurm.conf"
slurmctld -f "$SLURM_CONF"
slurmd -f "$SLURM_CONF" -N here
tries=0
until sinfo -h -o %T 2>/dev/null | grep -q idle; do
  tries=$((tries + 1))
  [ "$tries" -lt 30 ] || { echo "tests/slurm.sh: the node does not come up: $(sinfo 2>&1)" >&2; exit 1; }
  sleep 1
done
sinfo

printf '[bow]\naxle_to_axle = "33 in"\nbrace_height = "6 3/4 in"\ndraw_length = "29 1/2 in"\n' >"$node/bow.toml"
set -- "$node/bow.toml" --population adult-male:40:2 --vary "bow.axle_to_axle=31 in..35 in/2 in"
PEEPWRIGHT="$program" sbatch --wait --array=1-5 --cpus-per-task=1 --output="$node/task-%a.log" \
    examples/sweep-array.slurm "$node/many" "$@" || { cat "$node"/task-*.log >&2; exit 1; }
"$program" merge "$node"/many/parts/sweep-*-of-5.csv --quiet -o "$node/many"
"$program" sweep "$@" --quiet -o "$node/whole"
for file in sweep.csv sweep.json sweep-summary.json; do cmp "$node/many/$file" "$node/whole/$file"; done
echo "$(($(wc -l <"$node/whole/sweep.csv") - 1)) variants in 5 tasks of a job array: the same bytes as unsplit"
