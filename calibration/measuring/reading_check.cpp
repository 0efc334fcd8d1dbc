#include "calibration/measuring/reading_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "calibration/instruments/file_instrument.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/observer.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr double kLeastNm = 200.0;
constexpr double kMostNm = 2500.0;
// A cone's loss that is told.
constexpr double kWorthTelling = 0.001;

ReadingFailure failure(Trouble trouble, std::string found, std::string remedy) {
    return {trouble, std::move(found), std::move(remedy)};
}

std::optional<ReadingFailure> fault_of_form(const InstrumentSpectrum& spectrum) {
    const std::vector<double>& nm = spectrum.wavelengths_nm;
    constexpr const char* kAgain = "read again; if it stays so, look at what the instrument sends";
    if (nm.size() < 2 || nm.size() != spectrum.values.size())
        return failure(Trouble::garbled,
                       fmt::format("{} values on {} wavelengths", spectrum.values.size(), nm.size()), kAgain);
    for (size_t i = 0; i < nm.size(); ++i) {
        if (!std::isfinite(nm[i]) || !std::isfinite(spectrum.values[i]))
            return failure(Trouble::garbled, fmt::format("sample {} is not finite", i + 1), kAgain);
        if (i > 0 && !(nm[i] > nm[i - 1]))
            return failure(Trouble::garbled, fmt::format("{:g} nm follows {:g} nm", nm[i], nm[i - 1]),
                           "give wavelengths in rising order, each once");
    }
    if (!(nm.front() >= kLeastNm && nm.back() <= kMostNm)) {
        return failure(Trouble::implausible,
                       fmt::format("wavelengths from {:g} to {:g} nm", nm.front(), nm.back()),
                       nm.back() < 10.0 ? "these look like micrometres: give nanometres"
                                        : "give wavelengths in nm, around 380 to 780");
    }
    return std::nullopt;
}

std::string grid_words(const std::vector<double>& nm) {
    return fmt::format("{} wavelengths from {:g} to {:g} nm", nm.size(), nm.front(), nm.back());
}

std::optional<ReadingFailure> fault_of_grid(const MeasuringState& state, const InstrumentSpectrum& spectrum) {
    if (state.wavelengths_nm.empty() || state.wavelengths_nm == spectrum.wavelengths_nm)
        return std::nullopt;
    return failure(Trouble::changed,
                   fmt::format("{}, but the readings before have {}", grid_words(spectrum.wavelengths_nm),
                               grid_words(state.wavelengths_nm)),
                   "use the same instrument with the same settings to the end, or begin a new measurement");
}

// White at the planned patch: elsewhere, and on other areas, a screen may be much darker.
bool is_white(const MeasuringState& state, const ShownPatch& shown) {
    return same_drive(shown.drive, state.plan->watch.drive) &&
           same_place(shown.place, state.plan->watch.place);
}

Spectrum spectrum_of(const InstrumentSpectrum& spectrum) {
    return Spectrum::from_signed_w_sr_m2_nm(spectrum.wavelengths_nm, spectrum.values);
}

std::optional<ReadingFailure> fault_of_first_white(const InstrumentSpectrum& spectrum, ReadingUnit unit) {
    const double total = total_of(spectrum);
    if (!(total > 0.0)) {
        return failure(Trouble::implausible, fmt::format("white has no light (total {:.3g})", total),
                       "aim the instrument at the patch and take its lid off; see that the screen is on");
    }
    if (unit != ReadingUnit::w_sr_m2_nm)
        return std::nullopt;
    const double luminance = luminance_cd_m2(spectrum_of(spectrum));
    if (!(luminance >= kLeastWhiteCdM2 && luminance <= kMostWhiteCdM2)) {
        return failure(Trouble::implausible,
                       fmt::format("white would have {:.3g} cd/m2, which no screen has", luminance),
                       "see whether the instrument gives another unit (counts, mW, W/(sr m2) per 5 nm) and "
                       "say so with --unit or "
                       "the dialect's scale, and whether it is aimed at the patch");
    }
    return std::nullopt;
}

std::optional<ReadingFailure> fault_of_white(const MeasuringState& state, const ShownPatch& shown,
                                             const InstrumentSpectrum& spectrum, ReadingUnit unit) {
    if (!is_white(state, shown))
        return std::nullopt;
    const std::optional<double> white = white_total(state);
    if (!white)
        return fault_of_first_white(spectrum, unit);
    const double ratio = total_of(spectrum) / *white;
    if (ratio >= 1.0 - kMostWhiteChange && ratio <= 1.0 / (1.0 - kMostWhiteChange))
        return std::nullopt;
    return failure(
        Trouble::changed, fmt::format("white reads {:.3g} times what it read before", ratio),
        "see that the instrument is the same one in the same unit and still aimed at the patch, and that "
        "the screen's brightness was left alone");
}

// The largest sample ever read, and where this spectrum is lowest.
double largest_sample(const MeasuringState& state) {
    double largest = 0.0;
    for (const KeptReading& reading : state.readings)
        largest = std::max(largest, *std::max_element(reading.values.begin(), reading.values.end()));
    return largest;
}

std::optional<ReadingFailure> fault_of_sign(const MeasuringState& state, const InstrumentSpectrum& spectrum) {
    const double white = white_total(state).value_or(total_of(spectrum));
    const auto lowest = std::min_element(spectrum.values.begin(), spectrum.values.end());
    const double largest =
        std::max(largest_sample(state), *std::max_element(spectrum.values.begin(), spectrum.values.end()));
    constexpr const char* kRemedy =
        "cover the instrument and let it take its dark reading anew, then read again; what is below 0 by "
        "more than "
        "noise would be subtracted from every light";
    const double total = total_of(spectrum);
    if (total < -kMostNegativeTotal * std::abs(white))
        return failure(Trouble::negative,
                       fmt::format("less than no light: the spectrum adds up to {:.2g} % of white",
                                   100.0 * total / std::abs(white)),
                       kRemedy);
    if (*lowest < -kMostNegativeSample * largest) {
        const auto at = static_cast<size_t>(lowest - spectrum.values.begin());
        return failure(Trouble::negative,
                       fmt::format("less than no light: {:.3g} at {:g} nm, {:.2g} % of the largest sample",
                                   *lowest, spectrum.wavelengths_nm[at], 100.0 * *lowest / largest),
                       kRemedy);
    }
    return std::nullopt;
}

std::optional<ReadingFailure> fault_of_top(const MeasuringState& state, const InstrumentSpectrum& spectrum) {
    const auto top = std::max_element(spectrum.values.begin(), spectrum.values.end());
    if (!(*top > 0.0 && *top >= largest_sample(state)))
        return std::nullopt;
    int run = 0;
    for (size_t i = 0; i < spectrum.values.size(); ++i) {
        run = spectrum.values[i] == *top ? run + 1 : 0;
        if (run >= kFlatTopSamples) {
            return failure(
                Trouble::saturated,
                fmt::format("a flat top: {} neighbouring samples up to {:g} nm all read {:.4g}", run,
                            spectrum.wavelengths_nm[i], *top),
                "shorten its exposure or put a neutral filter before it, for the whole measurement, and "
                "begin anew");
        }
    }
    return std::nullopt;
}

// The spectrum with its end values going on over the whole range of the cones.
InstrumentSpectrum extended(const InstrumentSpectrum& spectrum) {
    constexpr double kEdgeNm = 1e-3;
    InstrumentSpectrum result = spectrum;
    if (spectrum.wavelengths_nm.front() > Observer::kFirstNm + kEdgeNm) {
        result.wavelengths_nm.insert(result.wavelengths_nm.begin(), Observer::kFirstNm);
        result.values.insert(result.values.begin(), spectrum.values.front());
    }
    if (spectrum.wavelengths_nm.back() < Observer::kLastNm - kEdgeNm) {
        result.wavelengths_nm.push_back(Observer::kLastNm);
        result.values.push_back(spectrum.values.back());
    }
    return result;
}

}  // namespace

std::optional<ReadingFailure> reading_fault(const MeasuringState& state, const ShownPatch& shown,
                                            const InstrumentSpectrum& spectrum, ReadingUnit unit) {
    if (std::optional<ReadingFailure> fault = fault_of_form(spectrum))
        return fault;
    if (std::optional<ReadingFailure> fault = fault_of_grid(state, spectrum))
        return fault;
    if (std::optional<ReadingFailure> fault = fault_of_white(state, shown, spectrum, unit))
        return fault;
    if (std::optional<ReadingFailure> fault = fault_of_sign(state, spectrum))
        return fault;
    return fault_of_top(state, spectrum);
}

std::vector<std::string> range_advice(const InstrumentSpectrum& white) {
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    const double first_nm = white.wavelengths_nm.front();
    const double last_nm = white.wavelengths_nm.back();
    const Eigen::Vector3d seen = observer.excitations(spectrum_of(white)).vector();
    const Eigen::Vector3d all = observer.excitations(spectrum_of(extended(white))).vector();
    std::vector<std::string> lines;
    for (int cone = 0; cone < 3; ++cone) {
        double outside = 0.0;
        for (int i = 0; i < Observer::kSamples; ++i) {
            const double nm = Observer::kFirstNm + i;
            if (nm < first_nm || nm > last_nm)
                outside += observer.energy()(i, cone);
        }
        outside /= observer.energy().col(cone).sum();
        const double missed = 1.0 - seen[cone] / all[cone];
        if (!(outside >= kWorthTelling || missed >= kWorthTelling))
            continue;
        lines.push_back(
            fmt::format("{:g} to {:g} nm leaves out {:.2g} % of the {} cones' sensitivity; if the light went "
                        "on outside as it is "
                        "at the ends, {:.2g} % of their excitation by this screen's white would be missed",
                        first_nm, last_nm, 100.0 * outside, "LMS"[cone], 100.0 * missed));
    }
    constexpr double kNeededFirstNm = 400.0;  // of a calibration file
    constexpr double kNeededLastNm = 700.0;
    if (!(first_nm <= kNeededFirstNm && last_nm >= kNeededLastNm))
        lines.push_back(
            fmt::format("a calibration needs spectra over 400 to 700 nm; this instrument gives {:g} to "
                        "{:g} nm: no calibration can be made of its readings alone",
                        first_nm, last_nm));
    return lines;
}

}  // namespace isoseam
