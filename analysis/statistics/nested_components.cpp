#include "analysis/statistics/nested_components.h"

#include <algorithm>

#include "analysis/statistics/mean_square_intervals.h"
#include "base/errors.h"

namespace isoseam {
namespace {

// The means of several groups, each with the same weight, around their own mean.
struct Spread {
    double count = 0.0;
    double mean = 0.0;
    double squares = 0.0;
    double inverse_counts = 0.0;  // the sum of 1 / (what each mean is of)

    void add(double value, double of) {
        count += 1.0;
        const double from_old = value - mean;
        mean += from_old / count;
        squares += from_old * (value - mean);
        inverse_counts += 1.0 / of;
    }
    double harmonic_count() const { return count / inverse_counts; }
};

Interval cut_at_zero(const Interval& interval) {
    return {std::max(0.0, interval.low), std::max(0.0, interval.high)};
}

}  // namespace

std::optional<NestedIntervals> nested_intervals(const NestedSettings& settings) {
    ISOSEAM_CHECK_EQ(settings.covariates(), std::size_t{0});
    const std::vector<GroupSums> sessions = settings.sessions();
    MeanSquare within;
    std::vector<Spread> of_participants;  // the means of their sessions
    for (const GroupSums& session : sessions) {
        within.value += session.products(0, 0);
        within.degrees += session.settings - 1.0;
        if (of_participants.size() <= session.participant)
            of_participants.emplace_back();
        of_participants.back().add(session.mean[0], session.settings);
    }
    Spread participants;
    MeanSquare between_sessions;
    double repeated_sessions = 0.0;
    double inverse_settings = 0.0;
    for (const Spread& own : of_participants) {
        participants.add(own.mean, own.count);
        between_sessions.value += own.squares;
        between_sessions.degrees += own.count - 1.0;
        if (own.count > 1.0) {
            repeated_sessions += own.count;
            inverse_settings += own.inverse_counts;
        }
    }
    const bool settings_repeat = within.degrees > 0.0;
    const bool sessions_repeat = between_sessions.degrees > 0.0;
    if (sessions_repeat)
        between_sessions.value /= between_sessions.degrees;
    if (settings_repeat)
        within.value /= within.degrees;
    else  // sessions of one setting each are settings of their participants
        within = between_sessions;
    if (!(within.value > 0.0))
        return std::nullopt;

    NestedIntervals result;
    result.setting_95 = expectation_interval_95(within);
    MeanSquare below_participants = within;
    // So many settings, or sessions, lie below each mean of a participant.
    double below = participants.harmonic_count();
    if (sessions_repeat && settings_repeat) {
        const double harmonic = repeated_sessions / inverse_settings;
        const MeanSquare first{harmonic * between_sessions.value, between_sessions.degrees};
        result.session_95 = cut_at_zero(difference_interval_95(first, within, harmonic));
        below_participants = between_sessions;
    } else if (settings_repeat) {
        Spread single;
        for (const GroupSums& session : sessions)
            single.add(session.mean[0], session.settings);
        below = single.harmonic_count();
    }
    if (participants.count > 1.0) {
        const double degrees = participants.count - 1.0;
        const MeanSquare first{below * participants.squares / degrees, degrees};
        result.participant_95 = cut_at_zero(difference_interval_95(first, below_participants, below));
    }
    return result;
}

}  // namespace isoseam
