#include "calibration/formats/reading_files.h"

#include <catch2/catch.hpp>
#include <filesystem>

#include "calibration/formats/cgats_readings.h"
#include "calibration/formats/icc_profile.h"
#include "calibration/formats/tm27_readings.h"
#include "support/error_text.h"
#include "support/example_readings.h"
#include "support/file_bytes.h"
#include "support/invented_display.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;
using Catch::Matchers::Contains;

TEST_CASE("readings are read in each format by name or by how the file begins") {
    const TemporaryFolder folder;
    const Readings readings = example_readings();
    const std::string csv = readings_text(readings);
    const std::string cgats = cgats_text(readings, {"a", "b", "c", ""});
    for (const auto& [name, text] : {std::pair<std::string, std::string>{"a.csv", csv},
                                     {"a.txt", csv},
                                     {"b.txt", cgats},
                                     {"b.cgats", cgats},
                                     {"c.txt", "\xEF\xBB\xBF" + cgats}}) {
        CAPTURE(name);
        write_file(folder.file(name), text);
        CHECK(difference(read_readings(folder.file(name)), readings) == "");
    }
    std::filesystem::create_directory(folder.file("spectra"));
    const Tm27Header header{"d", "c", "2026-11-20", "", "", "", "", "", "", "", ""};
    for (const NamedText& file : tm27_files(readings, header))
        write_file(folder.file("spectra/" + file.name), file.text);
    CHECK(difference(read_readings(folder.file("spectra")), readings) == "");
    CHECK(read_readings(folder.file("spectra/reading_0003.spdx")).rows.size() == 1);
    write_file(folder.file("spectra/notes.txt"), "");
    CHECK_THAT(input_error_text([&] { read_readings(folder.file("spectra")); }),
               Contains("notes.txt: no IES TM-27 file; keep only .spdx or .xml files there"));
    CHECK_THAT(input_error_text([&] { read_readings(folder.file("none.csv")); }), Contains("cannot be read"));
    write_file(folder.file("headless.cgats"), "ORIGINATOR \"a\"\n");
    CHECK_THAT(input_error_text([&] { read_readings(folder.file("headless.cgats")); }),
               Contains("headless.cgats:1:1: the file begins with 'ORIGINATOR'"));
}

TEST_CASE("a calibration stands for the readings that its display model predicts") {
    for (const std::vector<double>& peaks_nm :
         {std::vector<double>{620.0, 535.0, 455.0}, {640.0, 590.0, 535.0, 455.0}}) {
        const Calibration calibration = invented_calibration(peaks_nm);
        const DisplayModel display(calibration);
        const Readings readings = calculated_readings(calibration);
        CHECK(readings.rows.size() == 2 + 16 * peaks_nm.size());
        CHECK(readings.rows.front().values == calibration.black.values());
        for (const Reading& row : readings.rows) {
            CHECK(row.step == "calculated from invented data");
            const Xyz wanted = display.xyz(display.linear_from_drive(row.drive));
            const Eigen::Vector3d miss = tristimulus(spectrum_of(readings, row)).vector() - wanted.vector();
            CHECK(miss.norm() <= 1e-12 * wanted.vector().norm());  // doubles
        }
    }
}

TEST_CASE("a calibration of any form of tone response is written in each format, and reads back") {
    const std::vector<ToneResponse> tones{ToneResponse::power(2.2),
                                          ToneResponse::of_form(ToneForm::gain_offset_gamma, {0.05, 2.2}),
                                          ToneResponse::of_form(ToneForm::offset_power, {0.055, 2.4}),
                                          ToneResponse::of_form(ToneForm::s_shaped, {2.2, 1.0 / 3.0, 0.9}),
                                          ToneResponse::points({0.0, 0.5, 1.0}, {0.0, 0.2, 1.0})};
    const Tm27Header header{"d", "c", "2026-11-20", "", "", "", "", "", "", "", ""};
    for (const ToneResponse& tone : tones) {
        CAPTURE(to_string(tone.form()));
        Calibration calibration = invented_calibration({620.0, 535.0, 455.0});
        for (Primary& primary : calibration.primaries)
            primary.tone = tone;
        const Readings readings = calculated_readings(calibration);
        const DisplayModel display(calibration);
        // Points stand for themselves; of a formula there are sixteen levels.
        const std::size_t levels = tone.form() == ToneForm::points ? 2 : 16;
        CHECK(readings.rows.size() == 2 + 3 * levels);
        for (const Reading& row : readings.rows) {
            const Xyz wanted = display.xyz(display.linear_from_drive(row.drive));
            const Eigen::Vector3d miss = tristimulus(spectrum_of(readings, row)).vector() - wanted.vector();
            CHECK(miss.norm() <= 1e-12 * wanted.vector().norm());  // doubles
        }
        CHECK(difference(parse_readings(readings_text(readings), "a.csv"), readings) == "");
        CHECK(difference(parse_cgats_readings(cgats_text(readings, {"a", "b", "c", ""}), "a.cgats"),
                         readings) == "");
        CHECK(difference(readings_from_tm27(tm27_files(readings, header)), readings) == "");
        CHECK(icc_profile(calibration, true).substr(36, 4) == "acsp");  // the signature of ICC.1
    }
}
