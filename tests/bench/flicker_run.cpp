// Flicker on a virtual screen with injected stalls, for ten minutes or the seconds that are given: is every
// late frame found and none invented? Run by hand: build/release/tests/bench_flicker_run [SECONDS]

#include <cstdio>
#include <cstdlib>

#include "support/seats/flicker_run.h"
#include "support/virtual_screen.h"

using namespace isoseam::test;

int main(int argc, char** argv) {
    const double seconds = argc > 1 ? std::atof(argv[1]) : 600.0;
    const VirtualScreen screen(640, 480, 24);  // software draws it in time
    screen.use();
    const FlickerRun run = flicker_run(seconds);
    const auto number = [](std::int64_t value) { return static_cast<long long>(value); };
    std::printf(
        "%.1f s, %lld frames shown, %lld late, %lld refreshes dropped; stamps: %s, period %.4f ms, spread "
        "%.4f ms\n"
        "injected: %lld, of which not found %lld; short stalls that must not count: %lld\n"
        "late by the machine's own doing, as the test's clock confirms: %lld\n"
        "invented: %lld, overlooked: %lld, miscounted: %lld, half a period fell between two readings: %lld\n",
        run.duration_s, number(run.counts.shown), number(run.counts.late), number(run.counts.dropped),
        run.screen.clock->stamp.c_str(), run.screen.clock->period_ms, run.screen.clock->spread_ms,
        number(run.injected), number(run.not_found), number(run.decoys), number(run.by_itself),
        number(run.invented), number(run.overlooked), number(run.miscounted), number(run.undecided));
    return run.not_found + run.invented + run.overlooked + run.miscounted == 0 ? 0 : 1;
}
