// How long a rehearsal takes: simulated sessions of 60 settings with everything that they write, against
// yardsticks measured in the same run: SHA-256 of as many bytes, and writing as many bytes into as many files
// without any of the rest. Run by hand: ./dev build release bench_rehearsal_speed &&
// build/release/tests/bench_rehearsal_speed [SESSIONS [THREADS]]
#include <fmt/format.h>
#include <sys/resource.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "base/processors.h"
#include "results_schema/sha256.h"
#include "runner/rehearsal/rehearsal.h"
#include "support/sixty_settings.h"
#include "support/temporary_folder.h"

using namespace isoseam;

namespace {

// By the clock, and of the processor: all threads, kernel included.
struct Seconds {
    double clock = 0.0;
    double processor = 0.0;
};

double processor_seconds() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    const auto seconds = [](const timeval& time) {
        return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
    };
    return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

Seconds seconds_of(const std::function<void()>& job) {
    const auto from = std::chrono::steady_clock::now();
    const double processor_from = processor_seconds();
    job();
    return {std::chrono::duration<double>(std::chrono::steady_clock::now() - from).count(),
            processor_seconds() - processor_from};
}

struct Written {
    std::uint64_t files = 0;
    std::uint64_t bytes = 0;
};

Written written_below(const std::string& folder) {
    Written written;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) {
            ++written.files;
            written.bytes += entry.file_size();
        }
    }
    return written;
}

void write_as_much(const std::string& folder, const Written& written) {
    const std::string bytes(written.bytes / written.files, 'x');
    for (std::uint64_t i = 0; i < written.files; ++i)
        std::ofstream(fmt::format("{}/{}", folder, i), std::ios::binary) << bytes;
    sync_sessions(folder);
}

}  // namespace

int main(int argc, char** argv) {
    const test::TemporaryFolder out;
    const test::TemporaryFolder plain;
    RehearsalPlan plan;
    plan.out = out.path();
    plan.observers = argc > 1 ? std::atoi(argv[1]) : 10'000;
    plan.threads = argc > 2 ? std::atoi(argv[2]) : static_cast<int>(usable_processors());
    const Setup setup = test::sixty_settings();
    const std::atomic<bool> stop = false;
    const RehearsalListener listener{[](const std::string&) {}, [](int) {}, {}};
    const Seconds rehearsed = seconds_of([&] { static_cast<void>(rehearse(setup, plan, listener, stop)); });
    const Written written = written_below(out.path());
    const std::string some(1 << 20, 'x');
    const Seconds hashed = seconds_of([&] {
        for (std::uint64_t done = 0; done < written.bytes; done += some.size())
            static_cast<void>(sha256_hex(some));
    });
    const Seconds copied = seconds_of([&] { write_as_much(plain.path(), written); });
    const double settings = 60.0 * plan.observers;
    fmt::print("{} sessions of 60 settings on {} thread(s), {} files, {:.1f} MB\n", plan.observers,
               plan.threads, written.files, 1e-6 * static_cast<double>(written.bytes));
    const auto print = [&](const std::string& what, const Seconds& took) {
        fmt::print("{:<44} {:>8.2f} s by the clock {:>8.2f} s of processor = {:>7.2f} us per setting\n", what,
                   took.clock, took.processor, 1e6 * took.processor / settings);
    };
    print("the rehearsal", rehearsed);
    print("SHA-256 of as many bytes", hashed);
    print("writing as many bytes into as many files", copied);
    fmt::print("in processor time the rehearsal is {:.1f} such hashings and {:.1f} such writings\n",
               rehearsed.processor / hashed.processor, rehearsed.processor / copied.processor);
    return 0;
}
