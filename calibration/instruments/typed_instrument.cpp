#include "calibration/instruments/typed_instrument.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <Eigen/LU>
#include <algorithm>

#include "base/errors.h"
#include "base/text_scan.h"
#include "calibration/display_model.h"
#include "calibration/instruments/spectrum_lines.h"

namespace isoseam {
namespace {

// How much of a mixture may be negative: typing rounds x and y to four digits, and panels differ a little.
// More is another panel, or another number than the one read off.
constexpr double kMostNegativeShare = 0.05;

constexpr const char* kForm =
    "type luminance in cd/m2, x and y, such as 120.3 0.3127 0.3290; 0 for no light; dark or bright where the "
    "colorimeter cannot read it; stop to leave";

InputError refused(std::string found) {
    return InputError(std::move(found), kForm);
}

std::vector<double> numbers_in(std::string_view words) {
    std::vector<double> numbers;
    for (const TextCell& word : words_between(words, " \t,;\r\n")) {
        const std::optional<double> number = finite_number(word.text);
        if (!number)
            throw refused(fmt::format("'{}' is not a number", word.text));
        numbers.push_back(*number);
    }
    return numbers;
}

}  // namespace

const char* const kTypedLimits =
    "typed from a colorimeter: luminance and chromaticity for the CIE 1931 observer only. No spectrum was "
    "measured, typical ones of a panel stand in its place, so that cone excitations of individual eyes, "
    "metamers "
    "between two screens and narrow bands cannot be known. Not for data";

Xyz parse_typed_reading(std::string_view words) {
    const std::vector<double> numbers = numbers_in(words);
    if (numbers.size() == 1 && numbers[0] == 0.0)
        return {};
    if (numbers.size() != 3)
        throw refused(fmt::format("{} number(s) instead of three", numbers.size()));
    const double luminance_cd_m2 = numbers[0];
    const Chromaticity xy{numbers[1], numbers[2]};
    if (!(luminance_cd_m2 >= 0.0))
        throw refused(fmt::format("a luminance of {:g} cd/m2", luminance_cd_m2));
    if (!(xy.x >= 0.0 && xy.y > 0.0 && xy.x + xy.y <= 1.0))
        throw refused(fmt::format("x {:g}, y {:g} is the chromaticity of no light", xy.x, xy.y));
    return xyz_from_xyy({xy, luminance_cd_m2});
}

TypedInstrument::TypedInstrument(const Calibration& typical, Ask ask)
    : typical_name_(typical.name), ask_(std::move(ask)) {
    if (typical.primaries.size() != 3) {
        throw InputError(
            Fault{typical.file, 0, 0, "primaries",
                  fmt::format("{} typical primaries for three numbers", typical.primaries.size()),
                  "name the calibration file of a screen with three primaries"});
    }
    const DisplayModel display(typical);
    amounts_from_xyz_ = display.xyz_from_linear().leftCols<3>().inverse();
    wavelengths_nm_ = typical.primaries.front().spectrum.wavelengths_nm();
    spectra_.resize(static_cast<Eigen::Index>(wavelengths_nm_.size()), 3);
    for (Eigen::Index primary = 0; primary < 3; ++primary) {
        const Spectrum& spectrum = typical.primaries[static_cast<std::size_t>(primary)].spectrum;
        for (std::size_t i = 0; i < wavelengths_nm_.size(); ++i)
            spectra_(static_cast<Eigen::Index>(i), primary) = spectrum.at_nm(wavelengths_nm_[i]);
    }
}

InstrumentRecord TypedInstrument::record() const {
    InstrumentRecord record;
    record.kind = "typed";
    record.description =
        fmt::format("colorimeter read off by a person, spectra typical of '{}'", typical_name_);
    record.not_for_data = kTypedLimits;
    record.reading_s = 20.0;
    return record;
}

ReadingOutcome TypedInstrument::spectrum_with(const Xyz& xyz) const {
    const Eigen::Vector3d amounts = amounts_from_xyz_ * xyz.vector();
    if (amounts.minCoeff() < -kMostNegativeShare * amounts.cwiseAbs().maxCoeff()) {
        return ReadingFailure{
            Trouble::implausible,
            fmt::format("no mixture of the primaries of '{}' has this chromaticity", typical_name_),
            "look at the colorimeter again, or name a calibration of a more similar panel with --typical"};
    }
    const Eigen::VectorXd values = spectra_ * amounts;
    return InstrumentSpectrum{wavelengths_nm_, {values.begin(), values.end()}};
}

ReadingOutcome TypedInstrument::read(const ShownPatch& shown) {
    std::string prompt =
        fmt::format("{} (drive {:.3g}): luminance in cd/m2, x, y: ", shown.step,
                    fmt::join(shown.drive.fractions.begin(), shown.drive.fractions.end(), ", "));
    while (true) {
        const std::optional<std::string> line = ask_(prompt);
        const std::string_view words = line ? trimmed(*line) : "stop";
        if (words == "stop")
            return ReadingFailure{Trouble::left, "left by the person who reads off", "go on with --resume"};
        if (words == "dark")
            return too_dark("the person who reads off");
        if (words == "bright")
            return saturated("the person who reads off");
        try {
            return spectrum_with(parse_typed_reading(words));
        } catch (const InputError& error) {
            prompt = fmt::format("{}\n{}: ", error.what(), shown.step);
        }
    }
}

}  // namespace isoseam
