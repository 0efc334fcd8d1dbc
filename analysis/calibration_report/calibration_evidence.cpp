#include "analysis/calibration_report/calibration_evidence.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "calibration/fit/emission_fit.h"
#include "calibration/fit/sorted_readings.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr int kCurvePoints = 101;

Observer standard_observer() {
    return Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
}

template <class Value>
std::optional<Value> told(const Calibration& calibration, const char* key, const Value& value) {
    return is_told(calibration, key) ? std::optional(value) : std::nullopt;
}

ScreenDetails details_of(const Calibration& calibration) {
    ScreenDetails details;
    details.name = told(calibration, "screen.name", calibration.name);
    details.serial = calibration.serial;
    details.panel = calibration.panel;
    details.measured_on = told(calibration, "measured.on", calibration.measured_on);
    details.measured_with = told(calibration, "measured.with", calibration.measured_with);
    details.measured_how = calibration.measured_how;
    details.warm_up_s = told(calibration, "measured.warm_up", calibration.warm_up_s);
    details.valid_until = told(calibration, "valid_until", calibration.valid_until);
    details.width_px = told(calibration, "conditions.resolution", calibration.width_px);
    details.height_px = told(calibration, "conditions.resolution", calibration.height_px);
    details.refresh_hz = told(calibration, "conditions.refresh", calibration.refresh_hz);
    details.bits = told(calibration, "conditions.bits", calibration.bits);
    details.pixel_pitch_mm = told(calibration, "conditions.pixel_pitch", calibration.pixel_pitch_mm);
    details.invented = calibration.invented;
    details.estimated = calibration.estimated;
    return details;
}

// All primaries' samples in one column.
Eigen::VectorXd samples_of(const Calibration& calibration) {
    std::vector<double> samples;
    for (const Primary& primary : calibration.primaries)
        samples.insert(samples.end(), primary.spectrum.values().begin(), primary.spectrum.values().end());
    return Eigen::Map<const Eigen::VectorXd>(samples.data(), static_cast<Eigen::Index>(samples.size()));
}

bool same_shape(const Calibration& a, const Calibration& b) {
    const auto same_primary = [](const Primary& one, const Primary& other) {
        return one.spectrum.wavelengths_nm() == other.spectrum.wavelengths_nm();
    };
    const auto same_interaction = [](const Interaction& one, const Interaction& other) {
        return one.of == other.of && one.spectrum.wavelengths_nm() == other.spectrum.wavelengths_nm();
    };
    return std::equal(a.primaries.begin(), a.primaries.end(), b.primaries.begin(), b.primaries.end(),
                      same_primary) &&
           std::equal(a.interactions.begin(), a.interactions.end(), b.interactions.begin(),
                      b.interactions.end(), same_interaction) &&
           a.black.wavelengths_nm() == b.black.wavelengths_nm();
}

// The luminance of white that brings a fit of counts to a calibration's scale: nullopt where no factor is
// needed or nothing can be compared.
std::optional<double> white_luminance_for(const CalibrationReportInput& input) {
    if (input.readings.unit != ReadingUnit::counts || !input.calibration || !input.calibration->scale_known)
        return input.options.white_luminance_cd_m2;
    ScreenFitOptions options = input.options;
    options.white_luminance_cd_m2 = 1.0;
    options.replicates = 2;
    const Calibration unit_white = fit_screen(input.readings, input.readings_file, options).calibration;
    if (!same_shape(*input.calibration, unit_white))
        return input.options.white_luminance_cd_m2;
    const Eigen::VectorXd unit = samples_of(unit_white);
    return samples_of(*input.calibration).dot(unit) / unit.squaredNorm();
}

double departure(const Spectrum& a, const Spectrum& b) {
    double largest = 0.0;
    for (size_t i = 0; i < a.values().size(); ++i)
        largest = std::max(largest, std::abs(a.values()[i] - b.values()[i]));
    return largest;
}

double departure(const Calibration& a, const Calibration& b) {
    if (!same_shape(a, b))
        return std::numeric_limits<double>::infinity();
    const double full = samples_of(b).maxCoeff();
    double spectra = departure(a.black, b.black);
    double tones = 0.0;
    for (size_t i = 0; i < a.primaries.size(); ++i) {
        spectra = std::max(spectra, departure(a.primaries[i].spectrum, b.primaries[i].spectrum));
        for (int k = 0; k < kCurvePoints; ++k) {
            const double drive = static_cast<double>(k) / (kCurvePoints - 1);
            tones = std::max(tones, std::abs(a.primaries[i].tone.linear_from_drive(drive) -
                                             b.primaries[i].tone.linear_from_drive(drive)));
        }
    }
    for (size_t i = 0; i < a.interactions.size(); ++i)
        spectra = std::max(spectra, departure(a.interactions[i].spectrum, b.interactions[i].spectrum));
    return std::max(spectra / full, tones);
}

EmissionFit additive_fit(const ScreenFit& fit, const SortedReadings& sorted) {
    EmissionForm form;
    for (const Primary& primary : fit.calibration.primaries)
        form.tones.push_back(primary.tone.form());
    return fit_emission(sorted, form);
}

// The levels of a ramp as shares of the fitted full light.
ToneFigureCurve tone_curve(const SortedReadings& sorted, const EmissionFit& fit, size_t i) {
    ToneFigureCurve curve;
    curve.name = sorted.primaries[i];
    for (int k = 0; k < kCurvePoints; ++k) {
        curve.drive.push_back(static_cast<double>(k) / (kCurvePoints - 1));
        curve.light.push_back(fit.tones[i].linear_from_drive(curve.drive.back()));
    }
    const Eigen::VectorXd full = fit.primaries.col(static_cast<Eigen::Index>(i));
    const double scale = fit.ramps[i].spectrum.dot(full) / full.squaredNorm();
    for (size_t k = 0; k < sorted.ramps[i].size(); ++k) {
        curve.read_drive.push_back(sorted.ramps[i][k].drive.maxCoeff());
        curve.read_light.push_back(fit.ramps[i].levels[static_cast<Eigen::Index>(k)] * scale);
        curve.residual.push_back(lightness(curve.read_light.back()) -
                                 lightness(fit.tones[i].linear_from_drive(curve.read_drive.back())));
    }
    return curve;
}

// Luminances of light without black.
class WhiteLuminance {
  public:
    WhiteLuminance(const SortedReadings& sorted, const ResponseWeights& weights)
        : sorted_(sorted), weights_(weights) {}
    double operator()(const Eigen::VectorXd& light) const {
        return weights_.xyz.row(1).dot(light - sorted_.dark.mean);
    }

  private:
    const SortedReadings& sorted_;
    const ResponseWeights& weights_;
};

WhitesOverTime whites_over_time(const Readings& readings, const SortedReadings& sorted,
                                const WhiteLuminance& luminance) {
    WhitesOverTime whites;
    std::vector<const Reading*> rows;
    for (const Reading& row : readings.rows) {
        const bool white = (row.drive.fractions.array() == 1.0).all();
        if (white && same_place(row.place, sorted.patch) && !is_verification(row) &&
            !row.step.starts_with("warm_up"))
            rows.push_back(&row);
    }
    if (rows.size() < 2)
        return whites;
    std::stable_sort(rows.begin(), rows.end(),
                     [](const Reading* a, const Reading* b) { return a->at_s < b->at_s; });
    whites.timed = rows.back()->at_s > rows.front()->at_s;
    std::vector<double> lights;
    double mean = 0.0;
    for (const Reading* row : rows) {
        lights.push_back(luminance(Eigen::Map<const Eigen::VectorXd>(
            row->values.data(), static_cast<Eigen::Index>(row->values.size()))));
        mean += lights.back() / static_cast<double>(rows.size());
    }
    double smooth_mean = 0.0;
    for (const WhiteAtTime& white : sorted.drift.smooth)
        smooth_mean += white.light / static_cast<double>(sorted.drift.smooth.size());
    for (size_t i = 0; i < rows.size(); ++i) {
        whites.at.push_back(whites.timed ? rows[i]->at_s / 60.0 : static_cast<double>(i + 1));
        whites.percent.push_back(100.0 * (lights[i] / mean - 1.0));
    }
    if (sorted.drift.followed) {
        for (const WhiteAtTime& white : sorted.drift.smooth) {
            whites.curve_at.push_back(white.at_s / 60.0);
            whites.curve_percent.push_back(100.0 * (white.light / smooth_mean - 1.0));
        }
    }
    return whites;
}

void gather_whites_elsewhere(const SortedReadings& sorted, const WhiteLuminance& luminance,
                             CalibrationEvidence& evidence) {
    if (sorted.white() == nullptr)
        return;
    const double usual = luminance(sorted.white()->light);
    const auto percent = [&](const WhiteElsewhere& white) {
        return 100.0 * (luminance(white.light) / usual - 1.0);
    };
    const auto area = [](const PatchPlace& place) { return 100.0 * place.width * place.height; };
    if (!sorted.places.empty())
        evidence.places.push_back({sorted.patch.x, sorted.patch.y, 0.0});
    for (const WhiteElsewhere& white : sorted.places)
        evidence.places.push_back({white.place.x, white.place.y, percent(white)});
    if (!sorted.sizes.empty())
        evidence.sizes.push_back({area(sorted.patch), 0.0});
    for (const WhiteElsewhere& white : sorted.sizes)
        evidence.sizes.push_back({area(white.place), percent(white)});
}

ReadingCounts counts_of(const Readings& readings, const SortedReadings& sorted) {
    ReadingCounts counts;
    counts.all = static_cast<int>(readings.rows.size());
    counts.black = sorted.dark.readings;
    counts.left_out = sorted.left_out;
    for (const std::vector<ColourReadings>& ramp : sorted.ramps)
        counts.levels.push_back(static_cast<int>(ramp.size()));
    counts.mixtures = static_cast<int>(sorted.mixtures.size());
    return counts;
}

int fitted_among(const Readings& verification, const Readings& fitted) {
    const bool marked = std::any_of(verification.rows.begin(), verification.rows.end(), is_verification);
    return static_cast<int>(
        std::count_if(verification.rows.begin(), verification.rows.end(), [&](const Reading& row) {
            return (!marked || is_verification(row)) &&
                   std::any_of(fitted.rows.begin(), fitted.rows.end(), [&](const Reading& other) {
                       return !is_verification(other) && other.values == row.values &&
                              other.drive.fractions == row.drive.fractions;
                   });
        }));
}

void gather_verification(const CalibrationReportInput& input, CalibrationEvidence& evidence) {
    if (input.verification) {
        evidence.verification = verify(evidence.calibration, *input.verification, input.verification_file);
        evidence.verified_and_fitted = fitted_among(*input.verification, input.readings);
    } else if (std::any_of(input.readings.rows.begin(), input.readings.rows.end(), is_verification)) {
        evidence.verification = verify(evidence.calibration, input.readings, input.readings_file);
    }
}

}  // namespace

bool is_told(const Calibration& calibration, const std::string& key) {
    return std::find(calibration.unknown.begin(), calibration.unknown.end(), key) ==
           calibration.unknown.end();
}

CalibrationEvidence gather_evidence(const CalibrationReportInput& input) {
    CalibrationEvidence evidence;
    ScreenFitOptions options = input.options;
    options.white_luminance_cd_m2 = white_luminance_for(input);
    if (input.calibration) {
        options.details = details_of(*input.calibration);
        options.limits = input.calibration->limits.value_or(VerificationLimits{});
    }
    evidence.fit = fit_screen(input.readings, input.readings_file, options);
    evidence.calibration = input.calibration.value_or(evidence.fit.calibration);
    if (input.calibration)
        evidence.departure_from_fit = departure(*input.calibration, evidence.fit.calibration);

    const SortedReadings sorted = sort_readings(input.readings, input.readings_file);
    const ResponseWeights weights(sorted.wavelengths_nm, standard_observer());
    const EmissionFit additive = additive_fit(evidence.fit, sorted);
    const WhiteLuminance luminance(sorted, weights);
    evidence.counts = counts_of(input.readings, sorted);
    evidence.unit = sorted.unit;
    evidence.patch = sorted.patch;
    evidence.drift_taken_out = sorted.drift.followed;
    evidence.wavelengths_nm = sorted.wavelengths_nm;
    for (size_t i = 0; i < sorted.ramps.size(); ++i)
        evidence.tones.push_back(tone_curve(sorted, additive, i));
    if (!sorted.mixtures.empty())
        evidence.additivity = additivity_errors(additive, sorted, weights);
    evidence.whites = whites_over_time(input.readings, sorted, luminance);
    gather_whites_elsewhere(sorted, luminance, evidence);
    gather_verification(input, evidence);
    return evidence;
}

}  // namespace isoseam
