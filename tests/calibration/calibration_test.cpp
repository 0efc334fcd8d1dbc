#include "calibration/calibration.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <sstream>
#include <string>

#include "base/errors.h"
#include "base/random.h"
#include "base/yaml_reader.h"

using namespace isoseam;

namespace {

const std::string kHere = ISOSEAM_SOURCE_DIR "/tests/calibration/";

void check_same(const Calibration& a, const Calibration& b) {
    CHECK(a.name == b.name);
    CHECK(a.serial == b.serial);
    CHECK(a.panel == b.panel);
    CHECK(a.measured_on == b.measured_on);
    CHECK(a.measured_with == b.measured_with);
    CHECK(a.measured_how == b.measured_how);
    CHECK(a.warm_up_s == b.warm_up_s);
    CHECK(a.valid_until == b.valid_until);
    CHECK(a.width_px == b.width_px);
    CHECK(a.height_px == b.height_px);
    CHECK(a.refresh_hz == b.refresh_hz);
    CHECK(a.bits == b.bits);
    CHECK(a.pixel_pitch_mm == b.pixel_pitch_mm);
    CHECK(a.invented == b.invented);
    CHECK(a.scale_known == b.scale_known);
    CHECK(a.unknown == b.unknown);
    CHECK(a.unfit == b.unfit);
    CHECK(a.noise == b.noise);
    CHECK(a.black_uncertainty == b.black_uncertainty);
    REQUIRE(a.limits.has_value() == b.limits.has_value());
    if (a.limits) {
        CHECK(a.limits->mean_de2000 == b.limits->mean_de2000);
        CHECK(a.limits->max_de2000 == b.limits->max_de2000);
        CHECK(a.limits->cone_contrast_error_percent == b.limits->cone_contrast_error_percent);
    }
    REQUIRE(a.interactions.size() == b.interactions.size());
    for (std::size_t i = 0; i < a.interactions.size(); ++i) {
        CHECK(a.interactions[i].of == b.interactions[i].of);
        CHECK(a.interactions[i].spectrum.values() == b.interactions[i].spectrum.values());
        CHECK(a.interactions[i].spectrum_uncertainty == b.interactions[i].spectrum_uncertainty);
    }
    CHECK(a.estimated == b.estimated);
    CHECK(a.black.wavelengths_nm() == b.black.wavelengths_nm());
    CHECK(a.black.values() == b.black.values());
    REQUIRE(a.primaries.size() == b.primaries.size());
    for (std::size_t i = 0; i < a.primaries.size(); ++i) {
        CHECK(a.primaries[i].name == b.primaries[i].name);
        CHECK(a.primaries[i].spectrum.wavelengths_nm() == b.primaries[i].spectrum.wavelengths_nm());
        CHECK(a.primaries[i].spectrum.values() == b.primaries[i].spectrum.values());
        CHECK(a.primaries[i].spectrum_uncertainty == b.primaries[i].spectrum_uncertainty);
        CHECK(a.primaries[i].tone_uncertainty == b.primaries[i].tone_uncertainty);
        REQUIRE(a.primaries[i].tone.form() == b.primaries[i].tone.form());
        CHECK(a.primaries[i].tone.parameters() == b.primaries[i].tone.parameters());
        if (a.primaries[i].tone.form() == ToneForm::points) {
            CHECK(a.primaries[i].tone.drives() == b.primaries[i].tone.drives());
            CHECK(a.primaries[i].tone.linears() == b.primaries[i].tone.linears());
        }
    }
}

// 16 primaries with random light on an uneven grid, and texts that YAML would take for something else.
Calibration awkward_calibration() {
    const RandomStream random{17, 900};
    std::uint64_t draw = 0;
    std::vector<double> grid;
    grid.push_back(379.9);
    while (grid.back() < 780.0)
        grid.push_back(grid.back() + 3.0 + random.uniform(draw++));
    const auto light = [&] {
        std::vector<double> values;
        for (std::size_t i = 0; i < grid.size(); ++i)
            values.push_back(random.uniform(draw++) * 1e-3 / 3.0);
        return Spectrum::from_radiance_w_sr_m2_nm(grid, values);
    };
    Calibration calibration;
    calibration.name = "yes: 'a' \"b\" #c \\ [d] \t e\nf, \xC3\xA9";
    calibration.serial = "00017";
    calibration.panel = "null";
    calibration.measured_on = {1999, 12, 31};
    calibration.measured_with = "~";
    calibration.measured_how = "- list";
    calibration.warm_up_s = 1800.1;
    calibration.valid_until = {2000, 2, 29};
    calibration.width_px = 3840;
    calibration.height_px = 2160;
    calibration.refresh_hz = 59.94005994005994;
    calibration.bits = 10;
    calibration.pixel_pitch_mm = 0.1 + 0.2;
    calibration.invented = true;
    calibration.estimated = true;
    calibration.black = light();
    for (int i = 1; i <= 16; ++i) {
        const ToneResponse tone =
            i % 2 == 0 ? ToneResponse::power(1.0 + i / 7.0)
                       : ToneResponse::points({0.0, 1.0 / 3.0, 1.0}, {0.0, 0.1 * i / 3.0, 1.0});
        calibration.primaries.push_back({std::to_string(i), light(), tone});
    }
    return calibration;
}

// The sound file as a fit writes it: every form of tone response, uncertainties, interactions, limits, and
// nearly nothing known of the screen.
Calibration fitted_calibration() {
    Calibration calibration = read_calibration(kHere + "sound.yaml");
    const RandomStream random{18, 900};
    std::uint64_t draw = 0;
    const auto numbers = [&](std::size_t count) {
        std::vector<double> values;
        for (std::size_t i = 0; i < count; ++i)
            values.push_back(random.uniform(draw++) * 1e-6 / 3.0);
        return values;
    };
    const std::vector<double> grid = calibration.black.wavelengths_nm();
    const auto signed_light = [&] {
        std::vector<double> values = numbers(grid.size());
        for (double& value : values)
            value -= 2e-7;
        return Spectrum::from_signed_w_sr_m2_nm(grid, values);
    };
    calibration.unknown = {"screen.name",        "measured.on",     "measured.with",
                           "measured.warm_up",   "valid_until",     "conditions.resolution",
                           "conditions.refresh", "conditions.bits", "conditions.pixel_pitch"};
    calibration.name = calibration.measured_with = "unknown";
    calibration.measured_on = calibration.valid_until = Day{};
    calibration.warm_up_s = calibration.refresh_hz = calibration.pixel_pitch_mm = 0.0;
    calibration.width_px = calibration.height_px = 0;
    calibration.noise = std::vector<double>(grid.size(), 1e-7);
    calibration.black = signed_light();
    calibration.black_uncertainty = numbers(grid.size());
    calibration.limits = VerificationLimits{0.5, 1.0 / 3.0, 0.7};
    calibration.unfit = "because: \"it\" is";
    const std::vector<ToneResponse> tones{
        ToneResponse::of_form(ToneForm::gain_offset_gamma, {0.1 / 3.0, 2.2}),
        ToneResponse::of_form(ToneForm::offset_power, {0.055, 2.4}),
        ToneResponse::of_form(ToneForm::s_shaped, {2.2, 1.0 / 3.0, 0.9})};
    for (std::size_t i = 0; i < 3; ++i) {
        calibration.primaries[i].tone = tones[i];
        calibration.primaries[i].tone_uncertainty = numbers(tones[i].parameters().size());
        calibration.primaries[i].spectrum_uncertainty = numbers(grid.size());
    }
    calibration.interactions = {{{0, 2}, signed_light(), numbers(grid.size())},
                                {{0, 1, 2}, signed_light(), {}}};
    return calibration;
}

// A file of faulty/ is named after its defect, and begins with what must be told about it: "# told:
// LINE:COLUMN: ...".
std::string expected_words(const std::string& text) {
    const std::string start = "# told: ";
    std::istringstream lines(text);
    std::string words;
    for (std::string line; std::getline(lines, line) && line.compare(0, start.size(), start) == 0;)
        words += (words.empty() ? "f:" : "\nf:") + line.substr(start.size());
    return words;
}

}  // namespace

TEST_CASE("a sound file is read as it stands") {
    const Calibration calibration = read_calibration(kHere + "sound.yaml");
    CHECK(calibration.name == "test screen");
    CHECK(calibration.serial == "A 17");
    CHECK(calibration.panel == "invented");
    CHECK(calibration.measured_on == Day{2026, 11, 20});
    CHECK(calibration.measured_with == "invented");
    CHECK(calibration.measured_how.empty());
    CHECK(calibration.warm_up_s == 1800.0);
    CHECK(calibration.valid_until == Day{2027, 5, 20});
    CHECK(calibration.width_px == 1920);
    CHECK(calibration.height_px == 1080);
    CHECK(calibration.refresh_hz == 60.0);
    CHECK(calibration.bits == 8);
    CHECK(calibration.pixel_pitch_mm == 0.2745);
    CHECK_FALSE(calibration.invented);
    CHECK(calibration.black.wavelengths_nm().size() == 16);
    CHECK(calibration.black.first_nm() == 400.0);
    CHECK(calibration.black.last_nm() == 700.0);
    REQUIRE(calibration.primaries.size() == 3);
    CHECK(calibration.primaries[0].spectrum.at_nm(620.0) == 0.004);
    CHECK(calibration.primaries[0].tone.exponent() == 2.2);
    CHECK(calibration.primaries[1].name == "middle");
    CHECK(calibration.primaries[1].tone.linears() == std::vector<double>{0.0, 0.05, 0.22, 0.53, 1.0});
    CHECK(calibration.file == kHere + "sound.yaml");
    CHECK(calibration.text == read_text_file(kHere + "sound.yaml"));
}

TEST_CASE("each faulty file is refused with all its faults, their places and a remedy") {
    int files = 0;
    for (const auto& entry : std::filesystem::directory_iterator(kHere + "faulty")) {
        CAPTURE(entry.path());
        const std::string text = read_text_file(entry.path().string());
        std::string told = "accepted";
        try {
            parse_calibration(text, "f");
        } catch (const InputError& error) {
            told = error.what();
        }
        CHECK(told == expected_words(text));
        ++files;
    }
    CHECK(files == 35);
}

TEST_CASE("what is written reads back to the same values") {
    std::vector<Calibration> calibrations{awkward_calibration(), fitted_calibration()};
    calibrations.push_back(calibrations.back());
    calibrations.back().scale_known = false;
    calibrations.back().noise.clear();
    for (const char* file : {"/tests/calibration/sound.yaml", "/tests/published/O2_display_total.yaml",
                             "/calibration/demo/demo_lcd.yaml", "/calibration/demo/demo_narrow_band.yaml"})
        calibrations.push_back(read_calibration(std::string(ISOSEAM_SOURCE_DIR) + file));
    for (const Calibration& calibration : calibrations) {
        const std::string text = calibration_text(calibration);
        const Calibration again = parse_calibration(text, "again.yaml");
        check_same(again, calibration);
        CHECK(calibration_text(again) == text);
    }
}

TEST_CASE("a missing file says so") {
    CHECK_THROWS_WITH(read_calibration("/nowhere/screen.yaml"),
                      Catch::StartsWith("/nowhere/screen.yaml: cannot be read: No such file or directory"));
}

TEST_CASE("days are days of the calendar") {
    CHECK(parse_day("2026-11-20") == Day{2026, 11, 20});
    CHECK(to_string(parse_day("2024-02-29")) == "2024-02-29");
    for (const char* text : {"2023-02-29", "1900-02-29", "2026-13-01", "2026-00-10", "2026-11-31", "2026-1-1",
                             "20.11.2026", "2026-11-20 ", "2026-11-+1", "0000-01-01", ""}) {
        CAPTURE(text);
        CHECK_THROWS_WITH(parse_day(text),
                          std::string("'") + text +
                              "' is no day of the calendar; write year, month and day as in 2026-11-20");
    }
}

TEST_CASE("a calibration holds up to and on its last day") {
    Calibration calibration;
    calibration.valid_until = {2027, 5, 20};
    CHECK_FALSE(expired(calibration, {2027, 5, 20}));
    CHECK_FALSE(expired(calibration, {2026, 12, 31}));
    CHECK(expired(calibration, {2027, 5, 21}));
    CHECK(expired(calibration, {2028, 1, 1}));
}
