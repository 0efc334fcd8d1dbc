#include "calibration/fit/reading_checks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "calibration/spectrum_reader.h"
#include "colorimetry/observer.h"

namespace isoseam {
namespace {

using std::size_t;

// So many neighbours at exactly the largest value of all are no coincidence.
constexpr size_t kFlatTop = 4;
// Light below 0 by more than noise and by more than this share of the reading's largest sample.
constexpr double kNoiseMultiple = 6.0;
constexpr double kNegativeShare = 0.02;
// What is missing of a cone's excitation, above which the remark is made.
constexpr double kWorthTelling = 1e-4;

double largest_of(const std::vector<double>& values) {
    return *std::max_element(values.begin(), values.end());
}

// First and last wavelength of the longest run of samples at `top`, and its length.
struct Run {
    size_t first = 0;
    size_t length = 0;
};
Run longest_run(const std::vector<double>& values, double top) {
    Run longest;
    Run run;
    for (size_t i = 0; i < values.size(); ++i) {
        if (values[i] < top) {
            run.length = 0;
            continue;
        }
        if (run.length == 0)
            run.first = i;
        ++run.length;
        if (run.length > longest.length)
            longest = run;
    }
    return longest;
}

// Outside the table's wavelengths: each cone's share of sensitivity, and the excitation there, as a share of
// all, if the light stays what it is at the ends.
struct Unseen {
    Eigen::Vector3d sensitivity = Eigen::Vector3d::Zero();
    Eigen::Vector3d excitation = Eigen::Vector3d::Zero();
};

Unseen unseen(const Spectrum& spectrum, const Observer& observer) {
    Unseen result;
    Eigen::Vector3d beyond = Eigen::Vector3d::Zero();
    for (int i = 0; i < Observer::kSamples; ++i) {
        const double nm = Observer::kFirstNm + i;
        if (nm >= spectrum.first_nm() && nm <= spectrum.last_nm())
            continue;
        const double edge =
            spectrum.at_nm(nm < spectrum.first_nm() ? spectrum.first_nm() : spectrum.last_nm());
        result.sensitivity += observer.energy().row(i).transpose();
        beyond += std::abs(edge) * observer.energy().row(i).transpose();
    }
    result.sensitivity.array() /= observer.energy().colwise().sum().transpose().array();
    const Eigen::Vector3d seen = observer.excitations(spectrum).vector();
    result.excitation = beyond.array() / (beyond + seen.cwiseMax(0.0)).array().max(1e-300);
    return result;
}

std::string percents(const Eigen::Vector3d& shares) {
    return fmt::format("L {:.2g} %, M {:.2g} %, S {:.2g} %", 100.0 * shares[0], 100.0 * shares[1],
                       100.0 * shares[2]);
}

}  // namespace

std::vector<Fault> faults_of_spectra(const Readings& readings, const Dark& dark, const std::string& file) {
    double top = 0.0;
    for (const Reading& row : readings.rows)
        top = std::max(top, largest_of(row.values));
    std::vector<Fault> faults;
    for (const Reading& row : readings.rows) {
        const Run run = longest_run(row.values, top);
        if (top > 0.0 && run.length >= kFlatTop) {
            faults.push_back({file, row.line, 0, "",
                              fmt::format("saturated: {} samples in a row at {} from {} to {} nm", run.length,
                                          top, readings.wavelengths_nm[run.first],
                                          readings.wavelengths_nm[run.first + run.length - 1]),
                              "read it again with a shorter integration time"});
        }
        if (row.drive.fractions.isZero(0.0))
            continue;
        const double limit = kNegativeShare * largest_of(row.values);
        size_t worst = row.values.size();
        double lowest = 0.0;
        for (size_t i = 0; i < row.values.size(); ++i) {
            const auto at = static_cast<Eigen::Index>(i);
            const double light = row.values[i] - dark.mean[at];
            if (light < -std::max(kNoiseMultiple * dark.noise[at], limit) && light < lowest) {
                lowest = light;
                worst = i;
            }
        }
        if (worst < row.values.size()) {
            faults.push_back(
                {file, row.line, 0, "",
                 fmt::format("negative light: {:.4g} below black at {} nm", -lowest,
                             readings.wavelengths_nm[worst]),
                 "take the instrument's dark signal anew, and read this colour and black again"});
        }
    }
    return faults;
}

std::vector<Fault> faults_of_wavelengths(const Readings& readings, const std::string& file,
                                         std::vector<std::string>& remarks) {
    const std::vector<double>& grid = readings.wavelengths_nm;
    const auto brightest =
        std::max_element(readings.rows.begin(), readings.rows.end(), [](const Reading& a, const Reading& b) {
            return std::accumulate(a.values.begin(), a.values.end(), 0.0) <
                   std::accumulate(b.values.begin(), b.values.end(), 0.0);
        });
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    const Spectrum spectrum = spectrum_of(readings, *brightest);
    const Unseen missing = unseen(spectrum, observer);
    std::vector<Fault> faults;
    const std::string how_much = fmt::format(
        "outside lies this share of the cones' sensitivities: {}; if the brightest reading goes on there "
        "as it ends, so much of its excitations is missing: {}",
        percents(missing.sensitivity), percents(missing.excitation));
    if (!(grid.front() <= kCoveredFromNm && grid.back() >= kCoveredToNm)) {
        faults.push_back(
            {file, 0, 0, "",
             fmt::format("the readings cover {} to {} nm only; {}", grid.front(), grid.back(), how_much),
             fmt::format("measure at least from {} to {} nm", kCoveredFromNm, kCoveredToNm)});
    } else if (missing.excitation.maxCoeff() > kWorthTelling) {
        remarks.push_back(
            fmt::format("the readings cover {} to {} nm; {}", grid.front(), grid.back(), how_much));
    }
    for (size_t i = 1; i < grid.size(); ++i) {
        if (!(grid[i] - grid[i - 1] <= kWidestStepNm)) {
            faults.push_back({file, 0, 0, "",
                              fmt::format("no sample between {} and {} nm", grid[i - 1], grid[i]),
                              fmt::format("measure at least every {} nm", kWidestStepNm)});
            break;  // the first gap stands for all
        }
    }
    return faults;
}

}  // namespace isoseam
