#include "calibration/fit/screen_fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/errors.h"
#include "calibration/fit/sorted_readings.h"
#include "calibration/interaction_model.h"
#include "calibration/spectrum_reader.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

using std::size_t;

// Whites that no screen has; a milliwatt taken for a watt makes 120 cd/m2 120 000.
constexpr double kDimmestWhite = 0.1;
constexpr double kBrightestWhite = 20000.0;
// Tone curves whose lowest level lies above this drive are hardly held near black.
constexpr double kLowestLevelWanted = 0.25;

Spectrum spectrum_on(const std::vector<double>& grid, const Eigen::VectorXd& values) {
    return Spectrum::from_signed_w_sr_m2_nm(grid, {values.begin(), values.end()});
}

std::vector<double> list_of(const Eigen::VectorXd& values) {
    return {values.begin(), values.end()};
}

Observer standard_observer() {
    return Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
}

template <class Value, class Set>
void take(const std::optional<Value>& value, const char* key, Calibration& calibration, Set set) {
    if (value)
        set(*value);
    else
        calibration.unknown.emplace_back(key);
}

void write_details(const ScreenDetails& details, Calibration& calibration) {
    calibration.name = details.name.value_or("unknown");
    take(details.name, "screen.name", calibration, [](const auto&) {});
    calibration.serial = details.serial;
    calibration.panel = details.panel;
    take(details.measured_on, "measured.on", calibration, [&](Day day) { calibration.measured_on = day; });
    calibration.measured_with = details.measured_with.value_or("unknown");
    take(details.measured_with, "measured.with", calibration, [](const auto&) {});
    calibration.measured_how = details.measured_how;
    take(details.warm_up_s, "measured.warm_up", calibration, [&](double s) { calibration.warm_up_s = s; });
    take(details.valid_until, "valid_until", calibration, [&](Day day) { calibration.valid_until = day; });
    ISOSEAM_CHECK(details.width_px.has_value() == details.height_px.has_value());
    take(details.width_px, "conditions.resolution", calibration, [&](int width) {
        calibration.width_px = width;
        calibration.height_px = *details.height_px;
    });
    take(details.refresh_hz, "conditions.refresh", calibration,
         [&](double hz) { calibration.refresh_hz = hz; });
    take(details.bits, "conditions.bits", calibration, [&](int bits) { calibration.bits = bits; });
    take(details.pixel_pitch_mm, "conditions.pixel_pitch", calibration,
         [&](double mm) { calibration.pixel_pitch_mm = mm; });
    calibration.invented = details.invented;
    calibration.estimated = details.estimated;
}

// What the spectra of a fit are multiplied by: 1 unless the luminance of white is told.
double scale_of(const EmissionFit& fit, const SortedReadings& readings, const ResponseWeights& weights,
                const ScreenFitOptions& options) {
    const ColourReadings* white = readings.white();
    const Eigen::VectorXd light =
        white != nullptr ? white->light : fit.light(Eigen::VectorXd::Ones(readings.primary_count()));
    const double luminance = weights.xyz.row(1).dot(light);
    const auto refuse = [&](std::string found, std::string remedy) {
        throw InputError(Fault{readings.file, 0, 0, "", std::move(found), std::move(remedy)});
    };
    if (readings.unit == ReadingUnit::w_sr_m2_nm) {
        if (options.white_luminance_cd_m2)
            refuse("a luminance of white for readings that are in W/(sr m2 nm) already",
                   "leave it out, or say that the readings are counts (--unit counts)");
        if (!(luminance >= kDimmestWhite && luminance <= kBrightestWhite))
            refuse(
                fmt::format("with these readings in W/(sr m2 nm) white would have {:.3g} cd/m2", luminance),
                "check the unit (milliwatts: divide by 1000), or say that they are counts (--unit counts)");
        return 1.0;
    }
    return options.white_luminance_cd_m2 ? *options.white_luminance_cd_m2 / luminance : 1.0;
}

EmissionFit scaled(EmissionFit fit, double scale) {
    fit.black *= scale;
    fit.primaries *= scale;
    fit.term_spectra *= scale;
    return fit;
}

Uncertainty scaled(Uncertainty uncertainty, double scale) {
    for (Eigen::VectorXd* vector : {&uncertainty.black, &uncertainty.white_xyz})
        *vector *= scale;
    for (Eigen::MatrixXd* matrix : {&uncertainty.primaries, &uncertainty.term_spectra,
                                    &uncertainty.primaries_xyz, &uncertainty.primaries_lms})
        *matrix *= scale;
    return uncertainty;
}

void write_emission(const EmissionFit& fit, const SortedReadings& readings, const Eigen::VectorXd& noise,
                    const Uncertainty& uncertainty, Calibration& calibration) {
    const std::vector<double>& grid = readings.wavelengths_nm;
    calibration.black = spectrum_on(grid, fit.black);
    calibration.black_uncertainty = list_of(uncertainty.black);
    calibration.noise = list_of(noise);
    for (size_t i = 0; i < fit.tones.size(); ++i) {
        const auto column = static_cast<Eigen::Index>(i);
        calibration.primaries.push_back({readings.primaries[i], spectrum_on(grid, fit.primaries.col(column)),
                                         fit.tones[i], list_of(uncertainty.primaries.col(column)),
                                         uncertainty.tones[i]});
    }
    for (size_t k = 0; k < fit.terms.size(); ++k) {
        const auto column = static_cast<Eigen::Index>(k);
        for (const std::vector<int>& product : fit.terms[k].products) {
            calibration.interactions.push_back({product, spectrum_on(grid, fit.term_spectra.col(column)),
                                                list_of(uncertainty.term_spectra.col(column))});
        }
    }
}

// The reader lets a spectrum in W/(sr m2 nm) go below 0 by a few times the noise of one reading. Where it
// goes further, the instrument's own dark signal is in it, and the noise that the file states must cover
// that.
Eigen::VectorXd stated_noise(const EmissionFit& fit, Eigen::VectorXd noise, bool scale_known,
                             std::vector<std::string>& remarks) {
    const Eigen::VectorXd lowest = fit.black.cwiseMin(fit.primaries.rowwise().minCoeff());
    const Eigen::VectorXd needed = -lowest / kNoiseBelowZero * 1.001;  // clear of rounding
    const auto beyond = (needed.array() > noise.array()).count();
    if (!scale_known || beyond == 0)
        return noise;
    remarks.push_back(
        fmt::format("at {} wavelengths black or a primary reads below 0 by more than its noise: the "
                    "instrument's own dark signal is in the readings. The noise in the file covers it",
                    beyond));
    return noise.cwiseMax(needed);
}

void check_primaries(const Calibration& calibration, const std::string& file) {
    for (size_t i = 0; i < calibration.primaries.size(); ++i) {
        for (size_t j = 0; j < i; ++j) {
            const Primary& a = calibration.primaries[i];
            const Primary& b = calibration.primaries[j];
            if (!(shape_difference(a.spectrum, b.spectrum) >= kSamePrimaryTolerance)) {
                throw InputError(Fault{file, 0, 0, a.name, fmt::format("nearly the spectrum of '{}'", b.name),
                                       "check which column drives which primary"});
            }
        }
    }
    const double condition = DisplayModel(calibration).condition_number(standard_observer());
    if (!(condition <= kLargestConditionNumber)) {
        throw InputError(Fault{
            file, 0, 0, "",
            fmt::format("the primaries' cone excitations are nearly dependent (condition number {:.2g})",
                        condition),
            "check which column drives which primary"});
    }
}

void note_levels(const SortedReadings& readings, std::vector<std::string>& remarks) {
    for (size_t i = 0; i < readings.ramps.size(); ++i) {
        const double lowest = readings.ramps[i].front().drive.maxCoeff();
        if (lowest > kLowestLevelWanted)
            remarks.push_back(fmt::format(
                "'{}' was not read between drive 0 and {:.3g}: there its tone response is a guess "
                "of its form",
                readings.primaries[i], lowest));
    }
    if (readings.white() == nullptr)
        remarks.emplace_back("white was not read");
    if (!readings.dark.noise_from_repeats)
        remarks.emplace_back("black was read once: its noise is guessed from how ragged it is");
    if (readings.left_out > 0)
        remarks.push_back(
            fmt::format("{} readings were not fitted: warm-up, verification, or other colours than white on "
                        "another patch",
                        readings.left_out));
}

// Chooses the interactions of a screen that does not add up, or says why it is unfit.
class InteractionChoice {
  public:
    InteractionChoice(ScreenFit& result, const ScreenFitOptions& options)
        : result_(result), options_(options) {}

    std::vector<InteractionTerm> choose() {
        if (result_.interactions.empty() || result_.interactions.front().terms.empty())
            return {};
        result_.interaction = result_.interactions.front().name;
        return result_.interactions.front().terms;
    }

    // After the fit comes the question whether the interactions suffice and can be inverted.
    void judge(Calibration& calibration) {
        if (result_.additive)
            return;
        std::vector<std::string> reasons;
        const std::optional<double> score = result_.interactions.front().score;
        if (calibration.interactions.empty())
            reasons.emplace_back("no interaction of its primaries describes it better than their sum");
        if (!(score && *score <= options_.limits.mean_de2000)) {
            reasons.push_back(
                fmt::format("the best model misses colours that it has not seen by {:.2g} in CIEDE2000 on "
                            "average, above the limit of {:g}",
                            score.value_or(NAN), options_.limits.mean_de2000));
        }
        if (!calibration.interactions.empty() && calibration.primaries.size() != 3) {
            reasons.emplace_back(
                "interactions of more than three primaries are not turned round into drives");
        } else if (!calibration.interactions.empty()) {
            const InteractionInverse inverse =
                InteractionInverse::of_lms(DisplayModel(calibration), standard_observer());
            result_.contraction = inverse.contraction();
            if (!inverse.converges()) {
                reasons.push_back(
                    fmt::format("its interactions are so strong that nothing proves that a wanted light "
                                "has one drive only (contraction {:.2g}, up to {:g})",
                                inverse.contraction(), InteractionInverse::kLargestContraction));
            }
        }
        if (!reasons.empty()) {
            calibration.unfit = fmt::format(
                "this screen does not add its primaries up, and {}. Switch its picture "
                "modes off and measure again, or use another screen",
                fmt::join(reasons, ", and "));
        }
    }

  private:
    ScreenFit& result_;
    const ScreenFitOptions& options_;
};

}  // namespace

ScreenFit fit_screen(const Readings& readings, const std::string& file, const ScreenFitOptions& options) {
    const SortedReadings sorted = sort_readings(readings, file);
    const ResponseWeights weights(sorted.wavelengths_nm, standard_observer());
    ScreenFit result;
    result.remarks = sorted.remarks;
    EmissionForm form;
    for (const std::vector<ColourReadings>& ramp : sorted.ramps) {
        ToneChoice choice = choose_tone(tone_levels(ramp, fit_ramp(ramp, sorted.dark.mean)));
        form.tones.push_back(choice.candidates.front().form);
        result.tones.push_back(std::move(choice.candidates));
    }
    EmissionFit fit = fit_emission(sorted, form);
    result.tests = screen_tests(fit, sorted, weights);
    result.additive = result.tests.front().passed();
    result.interactions = interaction_candidates(fit, sorted, weights);
    result.interaction = "none";
    InteractionChoice interaction(result, options);
    if (!result.additive) {
        form.terms = interaction.choose();
        fit = fit_emission(sorted, form);
    }
    const ReadingNoise noise = noise_of(fit, sorted);
    const double scale = scale_of(fit, sorted, weights, options);
    result.uncertainty =
        scaled(bootstrap(fit, sorted, weights, noise, options.replicates, options.seed), scale);
    fit = scaled(std::move(fit), scale);
    Calibration& calibration = result.calibration;
    write_details(merged(options.details, readings.details), calibration);
    calibration.scale_known =
        sorted.unit == ReadingUnit::w_sr_m2_nm || options.white_luminance_cd_m2.has_value();
    calibration.limits = options.limits;
    const Eigen::VectorXd dark_noise = noise.dark * scale;
    write_emission(fit, sorted, stated_noise(fit, dark_noise, calibration.scale_known, result.remarks),
                   result.uncertainty, calibration);
    check_primaries(calibration, file);
    interaction.judge(calibration);
    result.noise_share = noise.share;
    result.gain_noise = noise.gain;
    result.black_noise = std::sqrt(dark_noise.array().square().mean());
    result.white = Xyz::from_vector(weights.xyz * fit.light(Eigen::VectorXd::Ones(sorted.primary_count())));
    note_levels(sorted, result.remarks);
    return result;
}

}  // namespace isoseam
