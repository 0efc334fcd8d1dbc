// How long the choice of a next stimulus takes over 10^6 cells of hypothesis times level, against one plain
// pass over a table of the same size. Run by hand: build/release/tests/bench_bayesian_choice

#include <Eigen/Core>
#include <chrono>
#include <cmath>
#include <cstdio>

#include "protocols/procedures/bayesian_adaptive.h"
#include "protocols/procedures/bayesian_tables.h"

using namespace isoseam;

namespace {

BayesianAdaptiveSpec million_cells() {
    BayesianAdaptiveSpec spec;
    for (int i = 0; i < 50; ++i)
        spec.levels.push_back({std::pow(10.0, -2.5 + 0.06 * i)});
    GriddedParameter threshold;
    for (int i = 0; i < 100; ++i)
        threshold.values.push_back(std::pow(10.0, -2.0 + 0.02 * i));
    spec.thresholds = {threshold};
    for (int i = 0; i < 20; ++i)
        spec.slope.values.push_back(1.0 + 0.3 * i);
    spec.guess.values = {0.5};
    for (int i = 0; i < 10; ++i)
        spec.lapse.values.push_back(0.006 * i);
    spec.trials = 1000;
    return spec;
}

template <typename Work>
double milliseconds(int rounds, const Work& work) {
    const auto begin = std::chrono::steady_clock::now();
    for (int i = 0; i < rounds; ++i)
        work();
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - begin;
    return took.count() / rounds;
}

}  // namespace

int main() {
    constexpr int kRounds = 100;
    const BayesianAdaptiveSpec spec = million_cells();
    BayesianAdaptiveState state;
    const double start_ms = milliseconds(1, [&] { state = start(spec, 1); });
    const BayesianTables& tables = *state.tables;
    double kept = 0.0;  // so that nothing is optimised away
    const double pass_ms = milliseconds(kRounds, [&] { kept += tables.success.sum(); });
    const double choice_ms = milliseconds(
        kRounds, [&] { kept += expected_information_bits(tables, state.log_posterior).maxCoeff(); });
    bool success = false;
    const double respond_ms = milliseconds(kRounds, [&] {
        success = !success;
        state = respond(spec, std::move(state), success);
    });
    std::printf(
        "%ld hypotheses, %ld levels: tables %.0f ms; choice %.2f ms, %.1f plain passes of %.2f ms; "
        "answer and choice %.2f ms (%g)\n",
        static_cast<long>(tables.success.cols()), static_cast<long>(tables.success.rows()), start_ms,
        choice_ms, choice_ms / pass_ms, pass_ms, respond_ms, kept);
}
