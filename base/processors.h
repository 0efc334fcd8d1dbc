#pragma once
// How many threads are worth starting.

#include <sched.h>

#include <algorithm>
#include <cstddef>
#include <thread>

namespace isoseam {

// The number of processors that this process may run on, at least 1. It is smaller than the machine's where
// the process was restricted to some of them.
inline std::size_t usable_processors() {
    cpu_set_t usable;
    CPU_ZERO(&usable);
    const bool known = sched_getaffinity(0, sizeof usable, &usable) == 0;
    return std::max<std::size_t>(
        1, known ? static_cast<std::size_t>(CPU_COUNT(&usable)) : std::thread::hardware_concurrency());
}

}  // namespace isoseam
