// The weights of L and M as text and as JSON.
#include <fmt/format.h>

#include <cmath>

#include "analysis/summaries/flicker_summary.h"
#include "analysis/summaries/summary_json.h"
#include "analysis/summaries/text_layout.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {
namespace {

constexpr std::size_t kNameWidth = 30;

// A difference of logarithms as a change of intensity.
double percent_of(double logarithm) {
    return kPercent * std::expm1(logarithm);
}

std::string range_text(const FlickerFit& fit, double factor) {
    const std::string low = fit.open_low ? "open" : ratio_words(factor * ratio_of_share(fit.share_95.low));
    const std::string high = fit.open_high ? "open" : ratio_words(factor * ratio_of_share(fit.share_95.high));
    return fmt::format("{} to {}", low, high);
}

std::string fit_text(const ParticipantFlicker& weights) {
    if (!weights.fit)
        return wrapped("No estimate: " + weights.not_fitted_because + ".");
    const FlickerFit& fit = *weights.fit;
    const StandardWeights& standard = weights.standard;
    const double factor = weights.quantal_factor;
    const double ratio = ratio_of_share(fit.share);
    const auto row = [](const char* name, const std::string& estimate, const std::string& range,
                        const std::string& by_standard) {
        return fmt::format("{:<{}}{:>10}{:>20}{:>12}\n", name, kNameWidth, estimate, range, by_standard);
    };
    return row("", "estimate", "95 %", "standard") +
           row("share of L in luminance", fixed(fit.share, 3),
               fmt::format("{} to {}", fit.open_low ? "open" : fixed(fit.share_95.low, 3),
                           fit.open_high ? "open" : fixed(fit.share_95.high, 3)),
               fixed(standard.share, 3)) +
           row("weight L : M", ratio_words(ratio), range_text(fit, 1.0), fixed(standard.ratio, 2)) +
           row("the same, quantal curves", ratio_words(factor * ratio), range_text(fit, factor),
               fixed(standard.ratio_quantal, 2)) +
           fmt::format("scatter of a setting {} % of the light, {} settings{}\n",
                       fixed(kPercent * fit.noise, 2), fit.settings,
                       fit.agreement_p
                           ? fmt::format(", conditions agree with p {}", fixed(*fit.agreement_p, 3))
                           : "");
}

std::string condition_row(const FlickerCondition& condition) {
    std::string text =
        name_cell(condition.condition, kNameWidth) +
        fmt::format("{:>5}{:>12}{:>12}{:>12}", condition.settings, fixed(condition.lm_reference, 3),
                    fixed(condition.lm_adjusted, 3), fixed(percent_of(condition.setting), 2));
    if (condition.fit)
        text += fmt::format("{:>13}{:>9}", fixed(percent_of(condition.fit->residual), 2),
                            condition.fit->sd ? fixed(kPercent * *condition.fit->sd, 2) : "n.d.");
    text +=
        condition.with_late_frames > 0
            ? fmt::format("\n    late or dropped frames in {} of its settings\n", condition.with_late_frames)
            : "\n";
    if (!condition.left_out_because.empty())
        text += wrapped("    left out: " + condition.left_out_because);
    return text;
}

std::string participant_text(const ParticipantFlicker& weights) {
    std::string text = fmt::format("\nParticipant {}\n", weights.participant) +
                       wrapped("Excitations by " + weights.observer) + fit_text(weights);
    text += fmt::format("\n{:<{}}{:>5}{:>12}{:>12}{:>12}{:>13}{:>9}\n", "condition", kNameWidth, "n",
                        "L:M ref.", "L:M adj.", "setting %", "left over %", "SD %");
    for (const FlickerCondition& condition : weights.conditions)
        text += condition_row(condition);
    return text + sentences("Note: ", weights.notes);
}

std::string explanations() {
    return wrapped(
               "share of L: wL / (wL + wM), where wL L + wM M is alike in both lights when flicker is least; "
               "L and M by energy-based curves of peak 1. standard: the nominal observer's V_F (CIE "
               "170-2:2015). 95 %: the shares that the settings do not exclude; open: not even none of that "
               "cone is excluded.") +
           wrapped(
               "setting: the adjusted light from the nominal observer's equal luminance. left over: what is "
               "left of it by the weight found. Excitations are the nominal observer's: an eye with another "
               "lens, macular pigment or photopigment has another share for the same weights.") +
           wrapped(fmt::format(
               "S cones count nothing here; where flicker is slow or lights are short-wave they may take "
               "part after all. People's shares differ widely and mean nothing for health. No figure is a "
               "diagnosis: {}",
               kWhoDiagnoses));
}

nlohmann::json condition_json(const FlickerCondition& condition) {
    nlohmann::json json = {{"condition", condition.condition},
                           {"settings", condition.settings},
                           {"settings_with_late_frames", condition.with_late_frames},
                           {"took_turns", condition.took_turns},
                           {"l_to_m_reference", condition.lm_reference},
                           {"l_to_m_adjusted", condition.lm_adjusted},
                           {"setting_ln", condition.setting},
                           {"left_out_because", text_or_null(condition.left_out_because)},
                           {"residual_ln", nlohmann::json()},
                           {"residual_sd_ln", nlohmann::json()}};
    if (condition.fit) {
        json["residual_ln"] = condition.fit->residual;
        json["residual_sd_ln"] = or_null(condition.fit->sd);
    }
    return json;
}

nlohmann::json fit_json(const FlickerFit& fit, double factor) {
    const double ratio = ratio_of_share(fit.share);
    const double low = ratio_of_share(fit.share_95.low);
    const double high = ratio_of_share(fit.share_95.high);
    const auto interval = [](double from, double to) {
        return nlohmann::json{{"low", finite_or_null(from)}, {"high", finite_or_null(to)}};
    };
    return {{"share_of_l", fit.share},
            {"share_of_l_interval_95", interval(fit.share_95.low, fit.share_95.high)},
            {"open_low", fit.open_low},
            {"open_high", fit.open_high},
            {"weight_l_to_m", finite_or_null(ratio)},
            {"weight_l_to_m_interval_95", interval(low, high)},
            {"weight_l_to_m_quantal", finite_or_null(factor * ratio)},
            {"weight_l_to_m_quantal_interval_95", interval(factor * low, factor * high)},
            {"noise_sd_ln", fit.noise},
            {"settings", fit.settings},
            {"agreement_p", or_null(fit.agreement_p)}};
}

nlohmann::json weights_json(const ParticipantFlicker& weights) {
    return {{"participant", weights.participant},
            {"observer", weights.observer},
            {"standard",
             {{"share_of_l", weights.standard.share},
              {"weight_l_to_m", weights.standard.ratio},
              {"weight_l_to_m_quantal", weights.standard.ratio_quantal}}},
            {"fit", or_null(weights.fit,
                            [&](const FlickerFit& fit) { return fit_json(fit, weights.quantal_factor); })},
            {"not_fitted_because", text_or_null(weights.not_fitted_because)},
            {"conditions", list_json(weights.conditions, condition_json)},
            {"notes", weights.notes}};
}

}  // namespace

std::string flicker_summary_text(const FlickerSummary& summary) {
    std::string text;
    for (const FlickerSeries& series : summary.series) {
        text += series_heading(series, "Weights of L and M in luminance", "setting");
        for (const ParticipantFlicker& weights : series.weights)
            text += participant_text(weights);
        text += "\n";
    }
    if (!summary.series.empty())
        text += explanations() + "\n";
    return text + folders_text(summary.folders, "setting");
}

nlohmann::json to_json(const FlickerSummary& summary) {
    const auto of_series = [](const FlickerSeries& series) {
        nlohmann::json json = series_json(series, "setting");
        json["weights"] = list_json(series.weights, weights_json);
        return json;
    };
    return {{"folders", folders_json(summary.folders, "setting")},
            {"series", list_json(summary.series, of_series)}};
}

}  // namespace isoseam
