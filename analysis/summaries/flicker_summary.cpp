#include "analysis/summaries/flicker_summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <tuple>
#include <utility>

#include "analysis/summaries/kept_settings.h"
#include "analysis/summaries/nominal_observers.h"
#include "base/errors.h"
#include "colorimetry/observer.h"

namespace isoseam {
namespace {

Eigen::Vector2d l_and_m(const std::array<double, 3>& lms) {
    return {lms[0], lms[1]};
}

// The settings of one condition, as they are gathered.
struct KeptNulls {
    std::vector<FlickerNull> nulls;
    std::vector<double> from_predicted;  // ln of luminance, by the nominal observer
    std::size_t settings = 0;
    std::size_t with_late_frames = 0;
    bool took_turns = true;
    bool several_axes = false;
    bool of_colour = false;
    bool without_l_or_m = false;

    void add(const SettingRecord& setting, const Eigen::Vector2d& weights) {
        ++settings;
        with_late_frames += had_late_frames(setting.frames) ? 1 : 0;
        took_turns &= setting.adjusted_half == "first" || setting.adjusted_half == "second";
        several_axes |= setting.axes.size() != 1;
        of_colour |= same_excitation(lms_of(setting.reference.lms), lms_of(setting.predicted_lms));
        const FlickerNull null{0, l_and_m(setting.adjusted.lms), l_and_m(setting.reference.lms)};
        if (!(null.adjusted.minCoeff() > 0.0) || !(null.reference.minCoeff() > 0.0)) {
            without_l_or_m = true;
            return;
        }
        nulls.push_back(null);
        from_predicted.push_back(
            std::log(weights.dot(null.adjusted) / weights.dot(l_and_m(setting.predicted_lms))));
    }
};

double mean_of(const std::vector<double>& values) {
    return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

// Geometric mean over settings.
double ratio_of(const std::vector<FlickerNull>& nulls, Eigen::Vector2d FlickerNull::*light) {
    std::vector<double> logarithms;
    for (const FlickerNull& null : nulls)
        logarithms.push_back(std::log((null.*light)[0] / (null.*light)[1]));
    return std::exp(mean_of(logarithms));
}

std::string reason_to_leave_out(const KeptNulls& kept, const FlickerCondition& condition) {
    if (kept.of_colour)
        return "its settings are matches of colour: lights that are alike are alike for every weight";
    if (kept.several_axes)
        return "its settings were made along several axes, not by the intensity of one light";
    if (kept.without_l_or_m)
        return "one of its lights gives L or M cones nothing";
    if (!tells_share({condition.lm_adjusted, 1.0}, {condition.lm_reference, 1.0}))
        return fmt::format("it tells nothing, since L : M of its two lights differ by less than {:g} %",
                           100.0 * kSameRatio);
    return "";
}

FlickerCondition described(const std::string& name, const KeptNulls& kept) {
    FlickerCondition condition;
    condition.condition = name;
    condition.settings = kept.settings;
    condition.with_late_frames = kept.with_late_frames;
    condition.took_turns = kept.took_turns;
    if (!kept.nulls.empty()) {
        condition.lm_reference = ratio_of(kept.nulls, &FlickerNull::reference);
        condition.lm_adjusted = ratio_of(kept.nulls, &FlickerNull::adjusted);
        condition.setting = mean_of(kept.from_predicted);
    }
    condition.left_out_because = reason_to_leave_out(kept, condition);
    return condition;
}

// Energy-based = factor x wavelength x quantal, one factor for each cone.
double quantal_factor(const Observer& observer) {
    const Observer::Table quantal = observer.quantal();
    const auto factor = [&](Eigen::Index cone) {
        Eigen::Index peak = 0;
        quantal.col(cone).maxCoeff(&peak);
        const double nm = static_cast<double>(observer.first_nm()) + static_cast<double>(peak);
        return observer.energy()(peak, cone) / (nm * quantal(peak, cone));
    };
    return factor(0) / factor(1);
}

void add_notes(ParticipantFlicker& weights) {
    const auto in_fit = [](const FlickerCondition& condition) { return condition.left_out_because.empty(); };
    if (std::any_of(weights.conditions.begin(), weights.conditions.end(),
                    [&](const FlickerCondition& c) { return in_fit(c) && !c.took_turns; }))
        weights.notes.emplace_back(
            "settings of lights that lay side by side: if they did not change places as flicker, they are of "
            "equal brightness, to which other signals than luminance add");
    if (!weights.fit)
        return;
    constexpr double kNotByChance = 0.05;
    const FlickerFit& fit = *weights.fit;
    if (fit.agreement_p && *fit.agreement_p < kNotByChance)
        weights.notes.emplace_back(
            "the conditions do not agree on one weight: the interval is too narrow. Cones, lens or macular "
            "pigment may differ from the nominal observer's, S cones or rods may take part, or the "
            "calibration may be off");
    if (fit.open_low || fit.open_high)
        weights.notes.push_back(fmt::format("the interval is open: {} cannot be excluded",
                                            fit.open_low && fit.open_high ? "neither a share of 0 nor of 1"
                                            : fit.open_low                ? "luminance without L"
                                                                          : "luminance without M"));
}

void fit_weights(ParticipantFlicker& weights, const std::map<std::string, KeptNulls>& conditions) {
    std::vector<FlickerNull> nulls;
    std::vector<std::size_t> fitted;  // index into the conditions
    for (const auto& [name, kept] : conditions) {
        weights.conditions.push_back(described(name, kept));
        if (!weights.conditions.back().left_out_because.empty())
            continue;
        for (FlickerNull null : kept.nulls) {
            null.condition = static_cast<int>(fitted.size());
            nulls.push_back(null);
        }
        fitted.push_back(weights.conditions.size() - 1);
    }
    if (fitted.empty())
        weights.not_fitted_because = "no condition tells how L and M weigh";
    else if (weights.fit = fit_flicker(nulls); !weights.fit)
        weights.not_fitted_because = "one setting alone has no scatter to hold it against";
    if (weights.fit) {
        for (std::size_t i = 0; i < fitted.size(); ++i)
            weights.conditions[fitted[i]].fit = weights.fit->conditions[i];
    }
    add_notes(weights);
}

}  // namespace

struct FlickerSummariser::Gathered {
    using Who = std::tuple<std::string, double, double>;  // participant; nominal observer's field and age
    struct Series {
        SeriesGatherer gatherer;
        std::map<Who, std::map<std::string, KeptNulls>> by_participant;
    };

    FlickerSummary summary;
    FoldersSeen seen;
    std::map<SeriesKey, Series> series;
    NominalObservers observers;

    ParticipantFlicker weights_of(const Who& who, const std::map<std::string, KeptNulls>& conditions) {
        const auto& [participant, field_deg, age_years] = who;
        const Observer& nominal = observers.of(field_deg, age_years);
        const Eigen::Vector2d v = nominal.luminous_efficiency_weights();
        ParticipantFlicker weights;
        weights.participant = participant;
        weights.observer = nominal.description();
        weights.quantal_factor = quantal_factor(nominal);
        weights.standard = {v[0] / v.sum(), v[0] / v[1], v[0] / v[1] * weights.quantal_factor};
        fit_weights(weights, conditions);
        return weights;
    }
};

FlickerSummariser::FlickerSummariser() : gathered_(std::make_unique<Gathered>()) {}
FlickerSummariser::~FlickerSummariser() = default;
FlickerSummariser::FlickerSummariser(FlickerSummariser&&) noexcept = default;
FlickerSummariser& FlickerSummariser::operator=(FlickerSummariser&&) noexcept = default;

void FlickerSummariser::add(const SessionFolder& folder) {
    Gathered& gathered = *gathered_;
    gathered.summary.folders.push_back(
        use_of(folder, folder.settings.size(), "it holds no setting", gathered.seen));
    if (!gathered.summary.folders.back().left_out_because.empty())
        return;
    const SessionHeader& header = folder.header;
    Gathered::Series& series = gathered.series[series_key(header)];
    series.gatherer.add(header);
    const double field_deg = header.observer.field_deg;
    const double age_years = header.observer.age_years;
    const Eigen::Vector2d weights = gathered.observers.of(field_deg, age_years).luminous_efficiency_weights();
    std::map<std::string, KeptNulls>& conditions =
        series.by_participant[{header.participant, field_deg, age_years}];
    for (const SettingRecord& setting : folder.settings)
        conditions[setting.condition].add(setting, weights);
}

FlickerSummary FlickerSummariser::finish() {
    for (const auto& [key, gathered] : gathered_->series) {
        FlickerSeries series;
        static_cast<SeriesFacts&>(series) = gathered.gatherer.facts();
        for (const auto& [who, conditions] : gathered.by_participant)
            series.weights.push_back(gathered_->weights_of(who, conditions));
        gathered_->summary.series.push_back(series);
    }
    gathered_->series.clear();
    return std::move(gathered_->summary);
}

FlickerSummary summarise_flicker(const std::vector<SessionFolder>& folders) {
    FlickerSummariser summariser;
    for (const SessionFolder& folder : folders)
        summariser.add(folder);
    return summariser.finish();
}

}  // namespace isoseam
