#include "analysis/calibration_report/report_numbers.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "analysis/calibration_report/report_words.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

using std::size_t;

std::string with_sd(double value, double sd) {
    return fmt::format("{:.6g} \u00b1 {:.2g}", value, sd);
}

// With its sign.
std::string signed_words(double value) {
    return fmt::format("{:+.3f}", value);
}

std::string drive_words(const Eigen::VectorXd& drive) {
    return fmt::format("{:.3g}", fmt::join(drive.begin(), drive.end(), ", "));
}

std::vector<std::string> colour_row(const std::string& name, const Xyz& xyz, const Eigen::Vector3d& sd) {
    std::vector<std::string> row{name};
    for (int i = 0; i < 3; ++i)
        row.push_back(with_sd(xyz.vector()[i], sd[i]));
    const bool has_colour = xyz.y > 0.0 && xyz.x + xyz.y + xyz.z > 0.0;
    const Chromaticity xy = has_colour ? xyy_from_xyz(xyz).chromaticity : Chromaticity{};
    row.push_back(has_colour ? fmt::format("{:.4f}", xy.x) : "\u2013");
    row.push_back(has_colour ? fmt::format("{:.4f}", xy.y) : "\u2013");
    return row;
}

PageTable colours(const CalibrationEvidence& evidence) {
    const ScreenFit& fit = evidence.fit;
    PageTable table{fmt::format("Tristimulus values (CIE 1931) in {}, \u00b1 one standard deviation. White "
                                "with black, primaries without.",
                                unit_of(evidence)),
                    {"light", "X", "Y", "Z", "x", "y"},
                    {colour_row("white, as fitted", fit.white, fit.uncertainty.white_xyz)}};
    for (size_t i = 0; i < fit.calibration.primaries.size(); ++i) {
        const Primary& primary = fit.calibration.primaries[i];
        table.rows.push_back(colour_row(primary.name, tristimulus(primary.spectrum),
                                        fit.uncertainty.primaries_xyz.col(static_cast<Eigen::Index>(i))));
    }
    return table;
}

std::string tone_words(const Primary& primary) {
    const std::vector<std::string>& names = tone_parameter_names(primary.tone.form());
    if (names.empty())
        return fmt::format("through {} points", primary.tone.drives().size());
    std::vector<std::string> words;
    for (size_t i = 0; i < names.size(); ++i)
        words.push_back(fmt::format("{} {}", names[i],
                                    with_sd(primary.tone.parameters()[i], primary.tone_uncertainty[i])));
    return fmt::format("{}", fmt::join(words, ", "));
}

PageTable tones(const ScreenFit& fit) {
    PageTable table{
        "Tone responses, \u00b1 one standard deviation; light at three drives as a share of full.",
        {"primary", "form", "numbers", "drive 0.25", "drive 0.5", "drive 0.75"}};
    for (size_t i = 0; i < fit.calibration.primaries.size(); ++i) {
        const Primary& primary = fit.calibration.primaries[i];
        std::vector<std::string> row{primary.name, to_string(primary.tone.form()), tone_words(primary)};
        for (int quarter = 1; quarter <= 3; ++quarter)
            row.push_back(
                with_sd(primary.tone.linear_from_drive(0.25 * quarter),
                        fit.uncertainty.linear_at_quarters(quarter - 1, static_cast<Eigen::Index>(i))));
        table.rows.push_back(row);
    }
    return table;
}

std::string score_words(const std::optional<double>& score, const std::string& why_untested) {
    return score ? fmt::format("{:.4f}", *score) : "not tested: " + why_untested;
}

PageTable candidates(const ScreenFit& fit) {
    PageTable table{"Forms of tone response: RMS error, in CIE lightness, on levels left out in turn.",
                    {"primary", "form", "error", "taken"}};
    for (size_t i = 0; i < fit.tones.size(); ++i) {
        for (const ToneCandidate& candidate : fit.tones[i])
            table.rows.push_back({fit.calibration.primaries[i].name, to_string(candidate.form),
                                  score_words(candidate.score, candidate.why_untested),
                                  &candidate == &fit.tones[i].front() ? "yes" : "no"});
    }
    return table;
}

PageTable tests(const ScreenFit& fit) {
    PageTable table{"Tests of the screen.", {"test", "value", "limit", "result", "in words"}};
    for (const ScreenTest& test : fit.tests)
        table.rows.push_back({test.name,
                              test.value ? fmt::format("{:.3g} {}", *test.value, test.unit) : "\u2013",
                              fmt::format("{:g} {}", test.limit, test.unit),
                              !test.value     ? "not tested"
                              : test.passed() ? "within"
                                              : "above",
                              test.words});
    return table;
}

PageTable interactions(const ScreenFit& fit) {
    PageTable table{"Interactions of the primaries: mean CIEDE2000 of mixtures left out in turn.",
                    {"set", "error", "taken"}};
    for (const InteractionCandidate& candidate : fit.interactions)
        table.rows.push_back({candidate.name, score_words(candidate.score, candidate.why_untested),
                              candidate.name == fit.interaction ? "yes" : "no"});
    return table;
}

PageTable mixtures(const std::vector<AdditivityError>& errors) {
    PageTable table{"Readings of several primaries less the sum of these, in % of white's excitation.",
                    {"mixture", "drive", "line of the table", "L", "M", "S"}};
    for (const AdditivityError& error : errors)
        table.rows.push_back({std::to_string(table.rows.size() + 1), drive_words(error.drive),
                              std::to_string(error.line), signed_words(100.0 * error.cones[0]),
                              signed_words(100.0 * error.cones[1]), signed_words(100.0 * error.cones[2])});
    return table;
}

PageTable verification_summary(const Verification& result) {
    PageTable table{fmt::format("Verification with {} colours.", result.colours.size()),
                    {"error", "mean", "median", "95th percentile", "largest", "limit"}};
    const auto add = [&](const std::string& name, const ErrorSummary& summary, const std::string& limit) {
        table.rows.push_back({name});
        for (const double value : {summary.mean, summary.median, summary.percentile_95, summary.max})
            table.rows.back().push_back(fmt::format("{:.3g}", value));
        table.rows.back().push_back(limit);
    };
    add("CIEDE2000", result.de2000,
        fmt::format("mean {:g}, largest {:g}", result.limits.mean_de2000, result.limits.max_de2000));
    add("u\u2032v\u2032", result.uv, "\u2013");
    add("luminance, % of white", result.luminance_percent, "\u2013");
    const std::string cone_limit = fmt::format("{:g}", result.limits.cone_contrast_error_percent);
    for (size_t cone = 0; cone < 3; ++cone)
        add(fmt::format("{} cone contrast, %", "LMS"[cone]), result.cone_contrast_percent[cone], cone_limit);
    return table;
}

PageTable verified_colours(const Verification& result) {
    PageTable table{"Verification, each colour: foretold against read.",
                    {"colour", "drive", "line of the table", "CIEDE2000", "u\u2032v\u2032", "luminance, %",
                     "L, %", "M, %", "S, %"}};
    for (const ColourError& error : result.colours) {
        table.rows.push_back(
            {std::to_string(table.rows.size() + 1), drive_words(error.drive.fractions),
             std::to_string(error.line), fmt::format("{:.3f}", error.de2000),
             error.uv ? fmt::format("{:.5f}", *error.uv) : "\u2013", signed_words(error.luminance_percent),
             signed_words(error.cone_contrast_percent[0]), signed_words(error.cone_contrast_percent[1]),
             signed_words(error.cone_contrast_percent[2])});
    }
    return table;
}

}  // namespace

std::vector<PageTable> report_tables(const CalibrationEvidence& evidence) {
    const ScreenFit& fit = evidence.fit;
    std::vector<PageTable> tables{colours(evidence), tones(fit), candidates(fit), tests(fit)};
    if (!fit.additive)
        tables.push_back(interactions(fit));
    if (!evidence.additivity.empty())
        tables.push_back(mixtures(evidence.additivity));
    if (evidence.verification) {
        tables.push_back(verification_summary(*evidence.verification));
        tables.push_back(verified_colours(*evidence.verification));
    }
    return tables;
}

}  // namespace isoseam
