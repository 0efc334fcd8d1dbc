// How fast eyes are made and lights are caught, each against a yardstick measured in the same run: one
// exponential of the C library. Run by hand: ./dev build release bench_observer_speed &&
// build/release/tests/bench_observer_speed
#include <fmt/format.h>

#include <cmath>
#include <ctime>
#include <vector>

#include "colorimetry/observer.h"
#include "colorimetry/population.h"

using namespace isoseam;

namespace {

double processor_time_us() {
    timespec time{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &time);
    return 1e6 * static_cast<double>(time.tv_sec) + 1e-3 * static_cast<double>(time.tv_nsec);
}

// Microseconds of this thread for one call, the least of several rounds: what the machine can do when left
// alone.
template <class Function>
double microseconds(int calls, Function&& function) {
    double least = 1e300;
    for (int round = 0; round < 7; ++round) {
        const double start_us = processor_time_us();
        for (int i = 0; i < calls; ++i) {
            function(i);
        }
        least = std::min(least, (processor_time_us() - start_us) / calls);
    }
    return least;
}

double sink = 0.0;  // keeps the compiler from leaving the work out

Spectrum light(double step_nm) {
    std::vector<double> nm;
    std::vector<double> values;
    for (double w = 380.0; w <= 780.0; w += step_nm) {
        nm.push_back(w);
        values.push_back(1.0 + std::sin(w / 20.0));
    }
    return Spectrum::from_radiance_w_sr_m2_nm(nm, values);
}

}  // namespace

int main() {
    const double exponential = microseconds(1'000'000, [](int i) { sink += std::exp(-1e-6 * i); });
    fmt::print("yardstick: one exponential {:.4f} us\n", exponential);
    const auto print = [&](const std::string& what, double us) {
        fmt::print("{:<58} {:>9.3f} us = {:>6.0f} exponentials\n", what, us, us / exponential);
    };
    std::vector<ObserverParameters> eyes;
    for (std::uint64_t i = 0; i < 1000; ++i) {
        eyes.push_back(sampled_eye({}, 1, i).eye);
    }
    for (const int count : {100, 1000, 10000}) {
        print(fmt::format("an individual's fundamentals, tables, mean of {}", count),
              microseconds(count, [&](int i) {
                  sink += Observer(eyes[static_cast<std::size_t>(i) % eyes.size()]).energy()(200, 0);
              }));
    }
    print("an individual's fundamentals, formulae", microseconds(1000, [&](int i) {
              ObserverParameters eye = eyes[static_cast<std::size_t>(i)];
              eye.curves = CurveSource::formulae;
              sink += Observer(eye).energy()(200, 0);
          }));
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    for (const double step_nm : {1.0, 4.0, 0.5}) {
        const Spectrum spectrum = light(step_nm);
        for (const int count : {1000, 10000}) {
            print(fmt::format("excitations of a light in steps of {} nm, mean of {}", step_nm, count),
                  microseconds(count, [&](int) { sink += observer.excitations(spectrum).l; }));
        }
    }
    return std::isfinite(sink) ? 0 : 1;
}
