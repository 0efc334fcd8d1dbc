// A plan in words.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "calibration/measuring/measuring_plan.h"

namespace isoseam {
namespace {

struct PurposeWords {
    Purpose purpose;
    const char* what;
    const char* why;
};

constexpr PurposeWords kPurposes[] = {
    {Purpose::black, "black", "the light and the noise that are always there"},
    {Purpose::ramp, "each primary alone, denser near black", "spectra and tone curves"},
    {Purpose::white_ramp, "greys up to white", "whether the primaries add up"},
    {Purpose::mixture, "two primaries at once", "whether they disturb each other"},
    {Purpose::verification, "random colours that the fit will not see", "verification"},
    {Purpose::drift_check, "white again", "drift while measuring"},
    {Purpose::patch_size, "white on small to large patches", "dimming of large areas"},
    {Purpose::uniformity, "white at other places (aim the instrument anew)", "uniformity"},
};

std::string minutes(double seconds) {
    if (seconds < 90.0)
        return fmt::format("{:.0f} s", seconds);
    if (seconds < 5400.0)
        return fmt::format("{:.0f} min", std::round(seconds / 60.0));
    return fmt::format("{:.1f} h", seconds / 3600.0);
}

std::string drives(const Drive& drive) {
    if (drive.fractions.size() == 0)
        return "0";
    return fmt::format("{:.3g}", fmt::join(drive.fractions.begin(), drive.fractions.end(), ", "));
}

std::string head(const MeasuringPlan& plan) {
    const PlanOptions& options = plan.options;
    return fmt::format(
        "Plan '{}', {} bits, seed {}\n"
        "  patch: {:.0f} % x {:.0f} % of the screen, centre at {:.0f} %, {:.0f} %; the rest at drive {}\n",
        plan_kind_word(options.kind), options.bits, options.seed, 100.0 * options.patch.width,
        100.0 * options.patch.height, 100.0 * options.patch.x, 100.0 * options.patch.y,
        drives(options.surround));
}

std::string watch_words(const WarmUpRule& rule) {
    if (!rule.watch)
        return "  no warm-up watch\n";
    return fmt::format(
        "  warm-up: white every {} until it drifts by less than {:g} % a minute over {}; at most {}\n",
        minutes(rule.interval_s), 100.0 * rule.settled_per_min, minutes(rule.window_s),
        minutes(rule.longest_s));
}

}  // namespace

std::string plan_words(const MeasuringPlan& plan, double reading_s, double settle_s) {
    std::string words = head(plan) + watch_words(plan.warm_up);
    for (const PurposeWords& purpose : kPurposes) {
        int steps = 0;
        int readings = 0;
        for (const PlanStep& step : plan.steps) {
            steps += step.purpose == purpose.purpose ? 1 : 0;
            readings += step.purpose == purpose.purpose ? step.repeats : 0;
        }
        if (steps > 0)
            words += fmt::format("  {:>4} readings of {:>3}  {:<48} {}\n", readings, steps, purpose.what,
                                 purpose.why);
    }
    const PlannedTime time = planned_time(plan, reading_s, settle_s);
    words += fmt::format("  {:>4} readings, {:g} s each: {}", planned_readings(plan), reading_s,
                         minutes(time.shortest_s));
    words += plan.warm_up.watch
                 ? fmt::format(" with the shortest warm-up, {} with the longest\n", minutes(time.longest_s))
                 : "\n";
    return words;
}

std::string plan_text(const MeasuringPlan& plan) {
    const WarmUpRule& rule = plan.warm_up;
    std::string text = fmt::format("watch {} every {} window {} settled {} longest {}\nsurround {}\n",
                                   rule.watch, rule.interval_s, rule.window_s, rule.settled_per_min,
                                   rule.longest_s, drives(plan.options.surround));
    const auto add = [&](const PlanStep& step) {
        text += fmt::format(
            "{} {} [{}] at {} {} {} {} x{} from {}\n", step.id, static_cast<int>(step.purpose),
            fmt::join(step.drive.fractions.begin(), step.drive.fractions.end(), " "), step.place.x,
            step.place.y, step.place.width, step.place.height, step.repeats, step.earliest_s);
    };
    add(plan.watch);
    std::for_each(plan.steps.begin(), plan.steps.end(), add);
    return text;
}

}  // namespace isoseam
