// How often 95 % intervals of nested settings hold the truth: 1,000 simulated studies for each design, with
// SDs of sessions of 0, 0.5, 1 and 2 SDs of a setting. Run by hand: build/release/tests/bench_session_coverage
// [STUDIES]. The last line times a million settings.

#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <string>
#include <vector>

#include "analysis/statistics/estimate.h"
#include "analysis/statistics/mean_slope.h"
#include "analysis/statistics/nested_components.h"
#include "analysis/statistics/nested_effects.h"
#include "analysis/statistics/unit_means.h"
#include "support/seeded_sets.h"

using namespace isoseam;

namespace {

struct Design {
    int participants = 1;
    int sessions = 2;
    bool balanced = true;

    int settings(int participant, int session) const {
        constexpr std::array kUneven{3, 20, 8, 12, 5, 15};
        if (balanced)
            return 10;
        return kUneven.at(static_cast<std::size_t>(participant + session) % kUneven.size());
    }
};

struct Study {
    std::vector<double> values;
    std::vector<SettingPlace> places;
    NestedSettings nested;
    std::vector<ParticipantGroups>
        by_trial;  // the same settings with a drift that differs between participants
};

constexpr double kParticipantSd = 1.0;
constexpr double kDriftSd = 0.1;  // of participants, per trial

Study drawn(test::Draws& draws, const Design& design, double session_sd) {
    Study study;
    for (int participant = 0; participant < design.participants; ++participant) {
        const double own = design.participants > 1 ? kParticipantSd * draws.normal() : 0.0;
        const double drift = kDriftSd * draws.normal();
        study.by_trial.emplace_back();
        for (int session = 0; session < design.sessions; ++session) {
            const double day = own + session_sd * draws.normal();
            study.by_trial.back().emplace_back();
            for (int i = 0; i < design.settings(participant, session); ++i) {
                const double y = day + draws.normal();
                study.values.push_back(y);
                study.places.push_back({participant, session});
                study.nested.add(participant, session, y);
                study.by_trial.back().back().push_back({static_cast<double>(i), y + drift * i});
            }
        }
    }
    return study;
}

// A share of the studies in per cent.
class Share {
  public:
    void count(bool yes) {
        ++all_;
        yes_ += yes ? 1 : 0;
    }
    std::string text() const { return all_ == 0 ? "-" : fmt::format("{:.1f}", 100.0 * yes_ / all_); }

  private:
    int all_ = 0;
    int yes_ = 0;
};

struct Coverage {
    Share pooled;         // all settings as independent
    Share units;          // Student's t of units
    Share satterthwaite;  // of the restricted likelihood
    Share session_zero;   // how often the variance of sessions comes out as 0
    Share session_variance;
    Share participant_variance;
    Share slope_pooled;  // one slope of all settings
    Share slope_units;
    Share slope_satterthwaite;
};

Coverage covered(const Design& design, double session_sd, int studies) {
    test::Draws draws(110);
    Coverage coverage;
    for (int i = 0; i < studies; ++i) {
        const Study study = drawn(draws, design, session_sd);
        coverage.pooled.count(estimate(study.values).interval_95->holds(0.0));
        coverage.units.count(estimate(unit_means(study.values, study.places).of(0)).interval_95->holds(0.0));
        if (const std::optional<NestedFit> fit = fit_nested(study.nested)) {
            coverage.satterthwaite.count(fit->mean.interval_95.holds(0.0));
            coverage.session_zero.count(*fit->session_variance == 0.0);
        }
        const std::optional<NestedIntervals> intervals = nested_intervals(study.nested);
        coverage.session_variance.count(intervals->session_95->holds(session_sd * session_sd));
        if (design.participants == 1)
            continue;
        coverage.participant_variance.count(
            intervals->participant_95->holds(kParticipantSd * kParticipantSd));
        std::vector<std::vector<SlopePoint>> all;
        for (const ParticipantGroups& groups : study.by_trial)
            all.insert(all.end(), groups.begin(), groups.end());
        coverage.slope_pooled.count(pooled_slope(all)->interval_95.holds(0.0));
        coverage.slope_units.count(mean_of_slopes(study.by_trial)->interval_95.holds(0.0));
        coverage.slope_satterthwaite.count(varying_slope(study.by_trial)->mean.interval_95.holds(0.0));
    }
    return coverage;
}

void time_a_million() {
    test::Draws draws(111);
    std::vector<double> values;
    for (int i = 0; i < 1'000'000; ++i)
        values.push_back(draws.normal());
    for (const int participants : {2000, 200, 1}) {
        const auto begin = std::chrono::steady_clock::now();
        NestedSettings settings;
        for (int i = 0; i < 1'000'000; ++i)
            settings.add(i / 500 % participants, i / 500, values[static_cast<std::size_t>(i)]);
        const auto summed = std::chrono::steady_clock::now();
        const std::optional<NestedFit> fit = fit_nested(settings);
        const auto end = std::chrono::steady_clock::now();
        using Milliseconds = std::chrono::duration<double, std::milli>;
        fmt::print(
            "a million settings, 2,000 sessions, {} participants: {:.0f} ms for sums, {:.0f} ms for the "
            "fit\n",
            participants, Milliseconds(summed - begin).count(), Milliseconds(end - summed).count());
        if (!fit)
            std::exit(1);
    }
}

}  // namespace

int main(int count, char** words) {
    const int studies = count > 1 ? std::atoi(words[1]) : test::kSets;
    fmt::print("per cent of {} studies; SD of sessions in SDs of a setting\n", studies);
    fmt::print("{:>12} {:>8} {:>8} {:>4} | {:>6} {:>6} {:>6} {:>6} | {:>8} {:>8} | {:>6} {:>6} {:>6}\n",
               "participants", "sessions", "settings", "SD", "pooled", "units", "Satt.", "at 0", "session v",
               "people v", "pooled", "units", "Satt.");
    for (const int participants : {1, 12})
        for (const int sessions : {2, 3, 6})
            for (const bool balanced : {true, false})
                for (const double session_sd : {0.0, 0.5, 1.0, 2.0}) {
                    const Coverage c = covered({participants, sessions, balanced}, session_sd, studies);
                    fmt::print(
                        "{:>12} {:>8} {:>8} {:>4} | {:>6} {:>6} {:>6} {:>6} | {:>9} {:>8} | {:>6} {:>6} "
                        "{:>6}\n",
                        participants, sessions, balanced ? "10" : "3 to 20", session_sd, c.pooled.text(),
                        c.units.text(), c.satterthwaite.text(), c.session_zero.text(),
                        c.session_variance.text(), c.participant_variance.text(), c.slope_pooled.text(),
                        c.slope_units.text(), c.slope_satterthwaite.text());
                    std::fflush(stdout);
                }
    time_a_million();
    return 0;
}
