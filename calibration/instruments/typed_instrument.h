#pragma once
// With this instrument a person reads luminance and chromaticity off a colorimeter and types them.

#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "calibration/calibration.h"
#include "calibration/instruments/instrument.h"
#include "colorimetry/colour_types.h"

namespace isoseam {

// This says what a colorimeter cannot do, for the record, for the table's head and for the person.
extern const char* const kTypedLimits;

// Reads words such as "120.3 0.3127 0.3290" (with blanks, commas or semicolons between): luminance in cd/m2
// and CIE 1931 x, y, or "0" alone for no light. Throws an InputError that says what is wrong.
Xyz parse_typed_reading(std::string_view words);

// Three numbers fix no spectrum. What is recorded is the mixture of three typical spectra (of a calibration
// file, such as one of a screen of the same panel) with the tristimulus values that were typed: right for the
// CIE 1931 observer, and for other eyes only as far as the panel is typical.
class TypedInstrument : public Instrument {
  public:
    // Asks a person. The function gets a prompt and gives back a line, or nothing if nobody is there to
    // answer any more.
    using Ask = std::function<std::optional<std::string>(const std::string& prompt)>;

    // Throws an InputError unless `typical` has three primaries.
    TypedInstrument(const Calibration& typical, Ask ask);

    InstrumentRecord record() const override;
    // Asks again after what cannot be understood. "dark", "bright" and "stop" are the person's words for
    // Trouble::too_dark, saturated and left.
    ReadingOutcome read(const ShownPatch& shown) override;

  private:
    ReadingOutcome spectrum_with(const Xyz& xyz) const;

    std::string typical_name_;
    std::vector<double> wavelengths_nm_;
    Eigen::MatrixX3d spectra_;  // of the typical primaries
    Eigen::Matrix3d amounts_from_xyz_;
    Ask ask_;
};

}  // namespace isoseam
