#include "analysis/calibration_report/report_words.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "calibration/interaction_model.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

std::string told_or(const Calibration& calibration, const char* key, const std::string& value,
                    const char* otherwise) {
    return is_told(calibration, key) ? value : otherwise;
}

// With a capital letter.
std::string sentence(std::string words) {
    if (!words.empty() && words.front() >= 'a' && words.front() <= 'z')
        words.front() = static_cast<char>(words.front() - 'a' + 'A');
    return words;
}

std::string identity_words(const Calibration& screen) {
    std::string words = told_or(screen, "screen.name", "The screen \u201c" + screen.name + "\u201d",
                                "A screen whose name nobody told");
    if (!screen.panel.empty())
        words += fmt::format(" ({})", screen.panel);
    if (!screen.serial.empty())
        words += fmt::format(", serial number {},", screen.serial);
    words +=
        fmt::format(" was measured on {} with {}.",
                    told_or(screen, "measured.on", to_string(screen.measured_on), "a day that nobody told"),
                    told_or(screen, "measured.with", screen.measured_with, "an instrument that nobody told"));
    if (is_told(screen, "measured.warm_up"))
        words += fmt::format(" It had been on for {:.3g} min.", screen.warm_up_s / 60.0);
    if (!screen.measured_how.empty())
        words += fmt::format(" How: {}.", screen.measured_how);
    return words + " Who measured is not in the files.";
}

std::string conditions_words(const Calibration& screen) {
    std::vector<std::string> told;
    if (is_told(screen, "conditions.resolution"))
        told.push_back(fmt::format("{} \u00d7 {} pixels", screen.width_px, screen.height_px));
    if (is_told(screen, "conditions.pixel_pitch"))
        told.push_back(fmt::format("{:g} mm from one pixel to the next", screen.pixel_pitch_mm));
    if (is_told(screen, "conditions.refresh"))
        told.push_back(fmt::format("{:g} Hz", screen.refresh_hz));
    if (is_told(screen, "conditions.bits"))
        told.push_back(fmt::format("{} bits for each primary", screen.bits));
    std::string words = told.empty() ? "" : fmt::format("It ran at {}. ", fmt::join(told, ", "));
    if (is_told(screen, "valid_until"))
        words += fmt::format("The calibration may be used up to {}. ", to_string(screen.valid_until));
    if (!screen.unknown.empty())
        words += fmt::format("Not told in the files: {}.", fmt::join(screen.unknown, ", "));
    return words;
}

std::string patch_words(const PatchPlace& patch) {
    if (patch.width >= 1.0 && patch.height >= 1.0)
        return "a patch that fills the screen";
    return fmt::format(
        "a patch of {:.3g} \u00d7 {:.3g} of the screen's width and height, centred at ({:.3g}, {:.3g})",
        patch.width, patch.height, patch.x, patch.y);
}

std::string white_words(const CalibrationEvidence& evidence) {
    const ScreenFit& fit = evidence.fit;
    const XyY white = xyy_from_xyz(fit.white);
    return fmt::format(
        "White has {:.4g} {} (standard deviation {:.2g}) at x = {:.4f}, y = {:.4f} (CIE 1931); black has "
        "{:.3g} {}.",
        white.luminance_cd_m2, unit_of(evidence), fit.uncertainty.white_xyz[1], white.chromaticity.x,
        white.chromaticity.y, tristimulus(fit.calibration.black).y, unit_of(evidence));
}

std::string verification_words(const CalibrationEvidence& evidence) {
    if (!evidence.verification)
        return "The calibration was not verified: there were no readings that the fit has not seen, so "
               "nothing here shows how well it foretells other colours.";
    const Verification& result = *evidence.verification;
    return fmt::format(
        "Against {} colours{}, the light that the calibration foretells is "
        "off by a CIEDE2000 of {:.2g} on average and {:.2g} at most; a difference of about 1 can just be "
        "seen (common practice, no source). The contrast that it gives a cone on a mid-grey is off by {:.2g} "
        "% at most. Verdict: {}.",
        result.colours.size(),
        evidence.verified_and_fitted > 0 ? " (readings that were fitted among them)"
                                         : " that were read apart from the fit",
        result.de2000.mean, result.de2000.max, result.any_cone_contrast_percent.max, result.words);
}

const ScreenTest& test_named(const CalibrationEvidence& evidence, const std::string& name) {
    return *std::find_if(evidence.fit.tests.begin(), evidence.fit.tests.end(),
                         [&](const ScreenTest& test) { return test.name == name; });
}

std::string reading_unit_words(const CalibrationEvidence& evidence) {
    if (evidence.unit == ReadingUnit::w_sr_m2_nm)
        return "W/(sr m\u00b2 nm)";
    return evidence.fit.calibration.scale_known
               ? "counts, brought to W/(sr m\u00b2 nm) by the luminance of white"
               : "counts";
}

std::string readings_words(const CalibrationEvidence& evidence) {
    const ReadingCounts& counts = evidence.counts;
    const std::vector<double>& grid = evidence.wavelengths_nm;
    std::vector<std::string> levels;
    for (std::size_t i = 0; i < counts.levels.size(); ++i)
        levels.push_back(
            fmt::format("{} of {}", counts.levels[i], evidence.fit.calibration.primaries[i].name));
    std::string words = fmt::format(
        "The table holds {} readings, each a spectrum of {} samples from {:g} to {:g} nm in {}. They are of "
        "{}. Black was read {}; levels of single primaries above 0: {}; colours of two or more primaries: "
        "{}.",
        counts.all, grid.size(), grid.front(), grid.back(), reading_unit_words(evidence),
        patch_words(evidence.patch), counts.black == 1 ? "once" : fmt::format("{} times", counts.black),
        fmt::join(levels, ", "), counts.mixtures);
    if (counts.left_out > 0)
        words += fmt::format(
            " {} readings were kept out of the fit: of warm-up, of verification, or of colours other than "
            "white on another patch.",
            counts.left_out);
    return words;
}

std::string inverse_words(const ScreenFit& fit) {
    if (!fit.contraction)
        return "";
    if (!(*fit.contraction <= InteractionInverse::kLargestContraction))
        return " Nothing proves that a wanted light has one drive only.";
    return fmt::format(
        " Drives for a wanted light follow by iteration; each step brings any two points nearer to each "
        "other, to {:.3g} of their distance or less.",
        *fit.contraction);
}

std::string interaction_words(const ScreenFit& fit) {
    if (fit.additive)
        return "";
    if (fit.interaction == "none")
        return "The screen does not add its primaries up, and no set of interactions between them foretold "
               "mixtures better than their sum; the calibration holds the sum.";
    return fmt::format(
        "The screen does not add its primaries up. Light beyond their sum was described by interactions "
        "(\u201c{}\u201d), each a spectrum times the product of its primaries' linear light. The set was "
        "chosen by how well it foretells each mixture from the others (mean CIEDE2000).{}",
        fit.interaction, inverse_words(fit));
}

}  // namespace

std::string unit_of(const CalibrationEvidence& evidence) {
    return evidence.fit.calibration.scale_known ? "cd/m\u00b2" : "counts";
}

std::vector<std::string> warnings_of(const CalibrationEvidence& evidence) {
    std::vector<std::string> warnings;
    const Calibration& screen = evidence.calibration;
    if (screen.invented)
        warnings.emplace_back("Invented: these are not measurements of a real screen. Not for science.");
    if (screen.estimated)
        warnings.emplace_back("Estimated, not measured: not for data.");
    if (!screen.unfit.empty())
        warnings.push_back("Unfit: " + screen.unfit + ".");
    if (!screen.scale_known)
        warnings.emplace_back(
            "Scale unknown: the readings are in counts, whose factor to radiance nobody told. "
            "Chromaticities, ratios and colour differences hold; no luminance does.");
    if (evidence.departure_from_fit && !(*evidence.departure_from_fit <= kSameCalibration)) {
        warnings.push_back(
            std::isfinite(*evidence.departure_from_fit)
                ? fmt::format("The calibration file does not follow from these readings: it departs from "
                              "their fit by up to {:.2g} % of full light. Numbers, tests and figures below "
                              "are those of the readings; the verification is that of the file.",
                              100.0 * *evidence.departure_from_fit)
                : "The calibration file does not follow from these readings: its primaries, wavelengths or "
                  "interactions are others. Numbers, tests and figures below are those of the readings; the "
                  "verification is that of the file.");
    }
    if (evidence.verified_and_fitted > 0)
        warnings.push_back(fmt::format(
            "{} readings of the verification are among those that were fitted: it is no independent test.",
            evidence.verified_and_fitted));
    if (evidence.verification && !evidence.verification->passed)
        warnings.emplace_back("The verification failed: see below.");
    return warnings;
}

std::vector<std::string> what_was_measured(const CalibrationEvidence& evidence) {
    std::vector<std::string> paragraphs{identity_words(evidence.calibration)};
    const std::string conditions = conditions_words(evidence.calibration);
    if (!conditions.empty())
        paragraphs.push_back(conditions);
    paragraphs.push_back(white_words(evidence));
    return paragraphs;
}

std::vector<std::string> how_far_to_trust(const CalibrationEvidence& evidence) {
    std::vector<std::string> items{verification_words(evidence)};
    for (const ScreenTest& test : evidence.fit.tests) {
        if (test.value)
            items.push_back(fmt::format("{} ({:.3g} {}, limit {:g} {}).", sentence(test.words), *test.value,
                                        test.unit, test.limit, test.unit));
    }
    items.emplace_back(
        "Standard deviations tell how the numbers scatter with the readings' noise. An error of the "
        "instrument's own calibration is in none of them.");
    for (const std::string& remark : evidence.fit.remarks)
        items.push_back("Note: " + remark + ".");
    if (evidence.verification) {
        for (const std::string& remark : evidence.verification->remarks)
            items.push_back("Note on the verification: " + remark + ".");
    }
    return items;
}

std::vector<std::string> what_it_cannot_do(const CalibrationEvidence& evidence) {
    std::vector<std::string> items;
    for (const ScreenTest& test : evidence.fit.tests) {
        if (!test.value)
            items.push_back(fmt::format("It does not tell {}: {}.", test.name, test.words));
    }
    const std::vector<double>& grid = evidence.wavelengths_nm;
    items.push_back(
        fmt::format("It knows no light below {:g} or above {:g} nm: what lies outside counts as dark.",
                    grid.front(), grid.back()));
    items.push_back(
        fmt::format("It holds for {}, seen from where the instrument stood, and for the picture settings of "
                    "that day; screens age, too.",
                    patch_words(evidence.patch)));
    items.emplace_back(
        "Cone excitations and colour differences are those of standard observers (cones: CIE 170-1:2006, 2 "
        "degrees, 32 years; colour: CIE 1931). An individual eye differs from them.");
    items.emplace_back("It says nothing about anybody's eyes and is no means to examine them.");
    return items;
}

std::vector<std::string> methods(const CalibrationEvidence& evidence) {
    const ScreenFit& fit = evidence.fit;
    std::vector<std::string> forms;
    for (const Primary& primary : fit.calibration.primaries)
        forms.push_back(fmt::format("{} for {}", to_string(primary.tone.form()), primary.name));
    std::vector<std::string> paragraphs{readings_words(evidence)};
    paragraphs.push_back(fmt::format(
        "The mean of black was subtracted.{} Each primary's levels were brought nearest, by least squares, "
        "to multiples of one spectrum. Forms of tone response were fitted to these multiples in CIE "
        "lightness; each foretold every level from the others, and the form with the smallest error was "
        "taken, or one with fewer numbers where it is as good: {}.",
        evidence.drift_taken_out ? " A drift of white that stood out of its scatter was divided out of all "
                                   "readings, relative to the last white."
                                 : "",
        fmt::join(forms, ", ")));
    if (!interaction_words(fit).empty())
        paragraphs.push_back(interaction_words(fit));
    std::string scatter = fmt::format(
        "Standard deviations are those of {} fits of readings drawn anew around the fit from its own "
        "residuals (bootstrap). One reading scatters by {:.2g} % of its light at each sample",
        fit.uncertainty.replicates, 100.0 * fit.noise_share);
    if (fit.gain_noise > 0.0)
        scatter += fmt::format(" and, as a whole, by {:.2g} %", 100.0 * fit.gain_noise);
    paragraphs.push_back(scatter + ".");
    if (evidence.verification)
        paragraphs.push_back(fmt::format(
            "For the verification the light that the calibration foretells was held against the mean reading "
            "of each colour: CIEDE2000 from CIELAB of CIE 1931 relative to {} white, and the difference in "
            "each cone's excitation relative to that of a grey with half the light of white.{}",
            evidence.verification->white_was_read ? "the" : "the calibration's",
            evidence.verification->relative ? " Both were compared relative to their own whites." : ""));
    return paragraphs;
}

std::vector<std::string> left_out(const CalibrationEvidence& evidence) {
    std::vector<std::string> parts;
    const auto note = [&](bool missing, const char* part, const char* test) {
        if (missing)
            parts.push_back(fmt::format("{}: {}.", part, test_named(evidence, test).words));
    };
    note(evidence.additivity.empty(), "Additivity", "additivity");
    if (!evidence.verification)
        parts.emplace_back("Verification: no readings that the fit has not seen were given.");
    note(evidence.whites.at.empty(), "Drift", "drift");
    note(evidence.places.empty(), "Uniformity", "uniformity");
    note(evidence.sizes.empty(), "Dimming by area", "dimming_by_area");
    return parts;
}

}  // namespace isoseam
