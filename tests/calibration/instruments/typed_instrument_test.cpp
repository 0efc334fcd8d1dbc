#include "calibration/instruments/typed_instrument.h"

#include <catch2/catch.hpp>
#include <deque>

#include "colorimetry/colour_space.h"
#include "support/error_text.h"
#include "support/invented_display.h"

using namespace isoseam;
using Catch::Contains;

namespace {

// A person with these answers ready; keeps the prompts.
struct Person {
    std::deque<std::string> answers;
    std::vector<std::string> prompts;

    TypedInstrument::Ask ask() {
        return [this](const std::string& prompt) -> std::optional<std::string> {
            prompts.push_back(prompt);
            if (answers.empty())
                return std::nullopt;
            std::string answer = answers.front();
            answers.pop_front();
            return answer;
        };
    }
};

ShownPatch white() {
    ShownPatch shown;
    shown.drive.fractions = Eigen::Vector3d::Ones();
    shown.step = "white.255";
    return shown;
}

}  // namespace

TEST_CASE("what was read off a colorimeter comes back from the recorded spectrum") {
    Person person{{"20.5 0.3127 0.3290", "20,5 is no form", "0.4; 0.30, 0.31", "0"}, {}};
    TypedInstrument instrument(test::invented_calibration({620.0, 535.0, 455.0}), person.ask());
    const auto tristimulus_of = [&](const ReadingOutcome& outcome) {
        const auto& spectrum = std::get<InstrumentSpectrum>(outcome);
        return tristimulus(Spectrum::from_signed_w_sr_m2_nm(spectrum.wavelengths_nm, spectrum.values));
    };
    const XyY first = xyy_from_xyz(tristimulus_of(instrument.read(white())));
    CHECK(first.luminance_cd_m2 == Approx(20.5).epsilon(1e-9));
    CHECK(first.chromaticity.x == Approx(0.3127).epsilon(1e-9));
    CHECK(first.chromaticity.y == Approx(0.3290).epsilon(1e-9));
    CHECK(xyy_from_xyz(tristimulus_of(instrument.read(white()))).luminance_cd_m2 ==
          Approx(0.4).epsilon(1e-9));
    CHECK(tristimulus_of(instrument.read(white())).y == 0.0);
    CHECK(person.prompts.at(0) == "white.255 (drive 1, 1, 1): luminance in cd/m2, x, y: ");
    CHECK_THAT(person.prompts.at(2), Contains("'is' is not a number; type luminance in cd/m2, x and y"));
}

TEST_CASE("a typed reading says what it is not good for") {
    Person person;
    const InstrumentRecord record =
        TypedInstrument(test::invented_calibration({620.0, 535.0, 455.0}), person.ask()).record();
    CHECK(record.description == "colorimeter read off by a person, spectra typical of 'invented'");
    CHECK_THAT(record.not_for_data,
               Contains("CIE 1931 observer only") && Contains("No spectrum was measured") &&
                   Contains("cone excitations of individual eyes") && Contains("Not for data"));
}

TEST_CASE("numbers that are no light are refused with the form that would do") {
    const auto text = [](const char* words) {
        return test::input_error_text([&] { parse_typed_reading(words); });
    };
    CHECK_THAT(text("100 0.3"),
               Contains("2 number(s) instead of three; type luminance in cd/m2, x and y, such as"));
    CHECK_THAT(text("-1 0.3 0.3"), Contains("a luminance of -1 cd/m2"));
    CHECK_THAT(text("100 0.8 0.3"), Contains("x 0.8, y 0.3 is the chromaticity of no light"));
    CHECK_THAT(text("100 0.3 0"), Contains("is the chromaticity of no light"));
    CHECK_THAT(text("100 nan 0.3"), Contains("'nan' is not a number"));
    CHECK_THAT(text(""), Contains("0 number(s)"));
}

TEST_CASE("a person's words and a colour that the typical panel cannot have") {
    Person person{{"dark", " bright ", "20 0.05 0.80", "stop"}, {}};
    TypedInstrument instrument(test::invented_calibration({620.0, 535.0, 455.0}), person.ask());
    const auto failure = [&] { return std::get<ReadingFailure>(instrument.read(white())); };
    CHECK(failure().trouble == Trouble::too_dark);
    CHECK(failure().trouble == Trouble::saturated);
    const ReadingFailure other_panel = failure();
    CHECK(other_panel.trouble == Trouble::implausible);
    CHECK(other_panel.found == "no mixture of the primaries of 'invented' has this chromaticity");
    CHECK_THAT(other_panel.remedy, Contains("--typical"));
    CHECK(failure().trouble == Trouble::left);
    CHECK(failure().trouble == Trouble::left);  // nobody there any more
    CHECK_THAT(test::input_error_text([&] {
                   TypedInstrument(test::invented_calibration({640.0, 590.0, 535.0, 455.0}), person.ask());
               }),
               Contains("4 typical primaries for three numbers"));
}
