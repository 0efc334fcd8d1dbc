#include "calibration/fit/verification.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "calibration/fit/reading_checks.h"
#include "calibration/fit/response_weights.h"
#include "calibration/fit/sorted_readings.h"
#include "colorimetry/cielab.h"
#include "colorimetry/colour_difference.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr double kGreyOfWhite = 0.5;
constexpr double kDimmestForChromaticity = 0.01;  // of white's luminance

[[noreturn]] void refuse(const std::string& file, std::string found, std::string remedy) {
    throw InputError(Fault{file, 0, 0, "", std::move(found), std::move(remedy)});
}

bool is_black(const Reading& row) {
    return row.drive.fractions.isZero(0.0);
}

Dark dark_of_table(const Readings& readings) {
    std::vector<const Reading*> rows;
    for (const Reading& row : readings.rows) {
        if (is_black(row))
            rows.push_back(&row);
    }
    const auto samples = static_cast<Eigen::Index>(readings.wavelengths_nm.size());
    if (rows.empty() || samples < 3)
        return {Eigen::VectorXd::Zero(samples), Eigen::VectorXd::Zero(samples), 0, false, 0.0};
    Eigen::MatrixXd values(static_cast<Eigen::Index>(rows.size()), samples);
    for (size_t i = 0; i < rows.size(); ++i)
        values.row(static_cast<Eigen::Index>(i)) =
            Eigen::Map<const Eigen::RowVectorXd>(rows[i]->values.data(), samples);
    return dark_of(values);
}

void check(const Calibration& calibration, const Readings& readings, const std::string& file,
           std::vector<std::string>& remarks) {
    if (readings.primaries.size() != calibration.primaries.size()) {
        refuse(file,
               fmt::format("{} primaries, but the calibration has {}", readings.primaries.size(),
                           calibration.primaries.size()),
               "verify a calibration with readings of its own screen");
    }
    std::vector<Fault> faults = faults_of_wavelengths(readings, file, remarks);
    const std::vector<Fault> of_spectra = faults_of_spectra(readings, dark_of_table(readings), file);
    faults.insert(faults.end(), of_spectra.begin(), of_spectra.end());
    throw_if_any(faults);
}

// The colours to verify, and white, which may be of the table's other readings.
struct Colours {
    std::vector<ColourReadings> all;
    const ColourReadings* white = nullptr;
    std::vector<ColourReadings> others;
};

const ColourReadings* white_of(const std::vector<ColourReadings>& colours) {
    const auto found = std::find_if(colours.begin(), colours.end(), [](const ColourReadings& colour) {
        return (colour.drive.array() == 1.0).all();
    });
    return found == colours.end() ? nullptr : &*found;
}

Colours colours_of(const Readings& readings, std::vector<std::string>& remarks) {
    const PatchPlace patch = usual_patch(readings);
    const bool marked = std::any_of(readings.rows.begin(), readings.rows.end(), is_verification);
    std::vector<const Reading*> rows;
    std::vector<const Reading*> others;
    for (const Reading& row : readings.rows) {
        if (same_place(row.place, patch))
            (!marked || is_verification(row) ? rows : others).push_back(&row);
    }
    if (rows.size() < readings.rows.size()) {
        remarks.push_back(
            fmt::format("{} of {} readings were compared: {}", rows.size(), readings.rows.size(),
                        marked ? "those of steps named verification" : "those at the usual patch"));
    }
    Colours colours;
    colours.all = grouped_by_drive(rows, Drift{});
    colours.others = grouped_by_drive(others, Drift{});
    return colours;
}

// Readings and what is foretold of them, in the readings' unit.
class Comparison {
  public:
    Comparison(const Calibration& calibration, const Readings& readings)
        : display_(calibration),
          observer_(Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0))),
          weights_(readings.wavelengths_nm, observer_) {}

    Eigen::Vector3d foretold_xyz(const Eigen::VectorXd& drive) const {
        return display_.xyz(display_.linear_from_drive({drive})).vector();
    }
    Eigen::Vector3d foretold_lms(const Eigen::VectorXd& drive) const {
        return display_.lms(display_.linear_from_drive({drive}), observer_).vector();
    }
    Eigen::Vector3d read_xyz(const ColourReadings& colour) const {
        return scale_ * (weights_.xyz * colour.light);
    }
    Eigen::Vector3d read_lms(const ColourReadings& colour) const {
        return scale_ * (weights_.lms * colour.light);
    }

    // From now on readings are multiplied so that white reads as foretold.
    void compare_relative_to(const ColourReadings& white) {
        scale_ = foretold_xyz(white.drive)[1] / read_xyz(white)[1];
    }
    void set_white(const ColourReadings* white) {
        const Eigen::VectorXd full = Eigen::VectorXd::Ones(display_.primary_count());
        white_xyz_ = white != nullptr ? read_xyz(*white) : foretold_xyz(full);
        white_lms_ = white != nullptr ? read_lms(*white) : foretold_lms(full);
    }
    bool white_is_light() const { return white_xyz_.minCoeff() > 0.0 && white_lms_.minCoeff() > 0.0; }

    ColourError error_of(const ColourReadings& colour) const {
        const Eigen::Vector3d foretold = foretold_xyz(colour.drive);
        const Eigen::Vector3d read = read_xyz(colour);
        const Xyz white = Xyz::from_vector(white_xyz_);
        ColourError error;
        error.drive.fractions = colour.drive;
        error.line = colour.line;
        error.readings = static_cast<int>(colour.each.rows());
        error.de2000 = delta_e_2000(lab_from_xyz(Xyz::from_vector(foretold), white),
                                    lab_from_xyz(Xyz::from_vector(read), white));
        if (std::min(read[1], foretold[1]) >= kDimmestForChromaticity * white.y) {
            const UniformChromaticity a = uniform_chromaticity_from_xyz(Xyz::from_vector(foretold));
            const UniformChromaticity b = uniform_chromaticity_from_xyz(Xyz::from_vector(read));
            error.uv = std::hypot(a.u_prime - b.u_prime, a.v_prime - b.v_prime);
        }
        error.luminance_percent = 100.0 * (foretold[1] - read[1]) / white.y;
        error.cone_contrast_percent =
            100.0 * (foretold_lms(colour.drive) - read_lms(colour)).cwiseQuotient(kGreyOfWhite * white_lms_);
        return error;
    }

  private:
    DisplayModel display_;
    Observer observer_;
    ResponseWeights weights_;
    double scale_ = 1.0;
    Eigen::Vector3d white_xyz_, white_lms_;
};

void summarise(Verification& result) {
    std::vector<double> de2000, uv, luminance, any;
    std::array<std::vector<double>, 3> cones;
    for (const ColourError& error : result.colours) {
        de2000.push_back(error.de2000);
        luminance.push_back(std::abs(error.luminance_percent));
        if (error.uv)
            uv.push_back(*error.uv);
        any.push_back(error.cone_contrast_percent.cwiseAbs().maxCoeff());
        for (size_t cone = 0; cone < 3; ++cone)
            cones[cone].push_back(std::abs(error.cone_contrast_percent[static_cast<Eigen::Index>(cone)]));
    }
    result.de2000 = summary_of(std::move(de2000));
    result.uv = summary_of(std::move(uv));
    result.luminance_percent = summary_of(std::move(luminance));
    result.any_cone_contrast_percent = summary_of(std::move(any));
    for (size_t cone = 0; cone < 3; ++cone)
        result.cone_contrast_percent[cone] = summary_of(std::move(cones[cone]));
}

void judge(Verification& result) {
    struct Check {
        const char* what;
        double value, limit;
    };
    const Check checks[] = {
        {"mean CIEDE2000", result.de2000.mean, result.limits.mean_de2000},
        {"largest CIEDE2000", result.de2000.max, result.limits.max_de2000},
        {"largest cone contrast error in %", result.any_cone_contrast_percent.max,
         result.limits.cone_contrast_error_percent},
    };
    std::vector<std::string> words;
    result.passed = true;
    for (const Check& check : checks) {
        const bool within = check.value <= check.limit;
        result.passed = result.passed && within;
        words.push_back(fmt::format("{} {:.3g} ({} {:g})", check.what, check.value,
                                    within ? "within" : "ABOVE", check.limit));
    }
    result.words =
        fmt::format("{}: {}", result.passed ? "the calibration holds" : "the calibration does NOT hold",
                    fmt::join(words, ", "));
}

}  // namespace

ErrorSummary summary_of(std::vector<double> values) {
    if (values.empty()) {
        constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
        return {kNone, kNone, kNone, kNone};
    }
    std::sort(values.begin(), values.end());
    double sum = 0.0;
    for (const double value : values)
        sum += value;
    const auto quantile = [&](double share) {
        const double at = share * static_cast<double>(values.size() - 1);
        const auto below = static_cast<size_t>(at);
        const size_t above = std::min(below + 1, values.size() - 1);
        return std::lerp(values[below], values[above], at - static_cast<double>(below));
    };
    return {sum / static_cast<double>(values.size()), quantile(0.5), quantile(0.95), values.back()};
}

Verification verify(const Calibration& calibration, const Readings& readings, const std::string& file) {
    Verification result;
    check(calibration, readings, file, result.remarks);
    const Colours colours = colours_of(readings, result.remarks);
    const ColourReadings* white = white_of(colours.all);
    white = white != nullptr ? white : white_of(colours.others);
    result.white_was_read = white != nullptr;
    if (white == nullptr)
        result.remarks.emplace_back(
            "white was not read: CIELAB and shares are relative to the calibration's white");
    Comparison comparison(calibration, readings);
    const bool radiance = readings.unit == ReadingUnit::w_sr_m2_nm;
    if (radiance != calibration.scale_known) {
        const std::string found =
            fmt::format("the readings are in {}, the calibration in {}", radiance ? "W/(sr m2 nm)" : "counts",
                        radiance ? "counts" : "W/(sr m2 nm)");
        if (white == nullptr)
            refuse(file, found, "read white too, so that both can be compared relative to it");
        result.relative = true;
        result.remarks.push_back(
            found + ": they were compared relative to white, and its luminance was not verified");
        comparison.compare_relative_to(*white);
    }
    comparison.set_white(white);
    if (!comparison.white_is_light())
        refuse(file, "white gives no light", "check the readings of white");
    for (const ColourReadings& colour : colours.all)
        result.colours.push_back(comparison.error_of(colour));
    result.limits = calibration.limits.value_or(VerificationLimits{});
    result.limits_from_file = calibration.limits.has_value();
    summarise(result);
    judge(result);
    return result;
}

}  // namespace isoseam
