"""The child's side of the cell: it locks itself up once its libraries are loaded, and cannot open the door again.

Two locks, so that one is left where the other cannot be had: no further file descriptor may be opened (setrlimit(2),
RLIMIT_NOFILE), hence no file and no connection, on every kernel; and a filter of system calls (seccomp(2), through
libseccomp) that lets through what computing needs and nothing that reaches out.
"""

from __future__ import annotations

import errno
import os
import resource
from pathlib import Path
from typing import Any, BinaryIO

NO_FILTER = "the filter of system calls"
NO_MEMORY_LIMIT = "the limit on memory"

_COMPUTING = (
    *(
        "read",
        "readv",
        "pread64",
        "write",
        "writev",
        "lseek",
        "ftruncate",
        "fstat",
        "newfstatat",
        "close",
        "fcntl",
    ),
    *("mmap", "munmap", "mremap", "mprotect", "madvise", "brk", "membarrier"),
    *(
        "futex",
        "sched_yield",
        "sched_getaffinity",
        "rseq",
        "set_robust_list",
        "set_tid_address",
        "restart_syscall",
    ),
    *("rt_sigaction", "rt_sigprocmask", "rt_sigreturn", "sigaltstack"),
    *("clock_gettime", "clock_getres", "clock_nanosleep", "nanosleep", "gettimeofday", "time"),
    *("getrandom", "getpid", "gettid", "getuid", "getrusage", "getrlimit", "sysinfo", "uname", "getcpu"),
    *("poll", "ppoll", "select", "pselect6", "exit", "exit_group"),
)
"""System calls without which Python and the decoders do not run. None opens, connects, starts or signals anything."""
_CLONE_THREAD = 0x00010000
"""clone(2): a thread of this process, which some decoders need; never a process."""


def private_pipes() -> tuple[BinaryIO, BinaryIO]:
    """Keep the pipes to ourselves: a library that prints must not speak to the parent."""
    requests, answers = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_RDWR)
    for descriptor in (0, 1, 2):
        os.dup2(nowhere, descriptor)
    os.close(nowhere)
    return requests, answers


def lock_up(memory: int, file_bytes: int = 0) -> list[str]:
    """Lock this process up for good: `memory` bytes beyond what it holds now, `file_bytes` for a file it has open.

    Returns what could not be had, in words. Whatever is to be imported must have been.
    """
    without = []
    rules = _rules()  # finding the library writes files, so before the limits
    try:
        held = int(Path("/proc/self/statm").read_text("ascii").split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (held + memory, held + memory))
    except (OSError, ValueError):
        without.append(NO_MEMORY_LIMIT)
    resource.setrlimit(resource.RLIMIT_FSIZE, (file_bytes, file_bytes))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    _no_more_descriptors()
    if not _loaded(rules):
        without.append(NO_FILTER)
    return without


def _no_more_descriptors() -> None:
    """The lowest number that is free becomes the limit: whatever would need a descriptor fails (EMFILE)."""
    free = os.open(os.devnull, os.O_RDONLY)
    os.close(free)
    resource.setrlimit(resource.RLIMIT_NOFILE, (free, free))


def _rules() -> Any:
    """The filter; None where the library is not there."""
    try:
        import pyseccomp as seccomp
    except (ImportError, RuntimeError, OSError, AttributeError):
        return None
    rules = seccomp.SyscallFilter(seccomp.ERRNO(errno.EPERM))
    for name in _COMPUTING:
        try:
            rules.add_rule(seccomp.ALLOW, name)
        except (OSError, ValueError):
            continue  # this processor's kernel has no such call
    rules.add_rule(seccomp.ALLOW, "prlimit64", seccomp.Arg(0, seccomp.EQ, 0))  # its own limits only
    thread = seccomp.Arg(0, seccomp.MASKED_EQ, _CLONE_THREAD, _CLONE_THREAD)
    rules.add_rule(seccomp.ALLOW, "clone", thread)
    # clone3(2) hides its flags from a filter: told that there is none, the C library takes clone.
    rules.add_rule(seccomp.ERRNO(errno.ENOSYS), "clone3")
    return rules


def _loaded(rules: Any) -> bool:
    try:
        if rules is not None:
            rules.load()
    except OSError:
        return False  # a kernel without it
    return rules is not None


def grant_time(seconds: int) -> None:
    """So much processor time for what comes next; what takes more ends the process (SIGXCPU)."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    spent = int(used.ru_utime + used.ru_stime) + 1
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (spent + seconds, hard))
