// The built program's commands "observer" and "light" from outside.

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>

#include "isoseam_program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"
#include "support/tolerances.h"

using namespace isoseam::test;

namespace {

const std::string kDemoLcd = ISOSEAM_SOURCE_DIR "/calibration/demo/demo_lcd.yaml";

}  // namespace

TEST_CASE("observer prints the published fundamentals: CIE 170-1:2006, 2 degrees, 32 years, at 555 nm") {
    const ProgramResult result = run_isoseam({"observer", "--field", "2", "--age", "32", "--format", "csv"});
    REQUIRE(result.status == 0);
    CHECK_THAT(result.out,
               Catch::StartsWith("wavelength_nm,l,m,s\n390,0.000415003,0.000368349,0.00954729\n"));
    CHECK(std::count(result.out.begin(), result.out.end(), '\n') == 442);
    CHECK_THAT(result.out, Catch::Contains("\n830,9.74306e-07,9.53411e-08,0\n"));
}

TEST_CASE("observer in quantal units is energy over wavelength, and takes individual eyes") {
    const nlohmann::json energy = isoseam_json({"observer", "--json"});
    const nlohmann::json quantal = isoseam_json({"observer", "--quantal", "--json"});
    const auto ratio = [&](int row) {
        return energy["l"][row].get<double>() / quantal["l"][row].get<double>() /
               energy["wavelength_nm"][row].get<double>();
    };
    CHECK(ratio(10) == Approx(ratio(300)).epsilon(1e-9));
    const nlohmann::json shifted = isoseam_json({"observer", "--shift-l", "-3", "--json"});
    CHECK(shifted["l"][300].get<double>() < energy["l"][300].get<double>());  // 690 nm
    CHECK(shifted["m"][300].get<double>() == Approx(energy["m"][300].get<double>()).epsilon(1e-3));
}

TEST_CASE("observer takes types, pigments, formulae and categorical eyes, and says what cannot be") {
    const nlohmann::json protanope = isoseam_json({"observer", "--type", "protanope", "--json"});
    CHECK(protanope["observer"] == "CIE 170-1:2006, field 2 deg, age 32 years, lacks L (published table)");
    CHECK(protanope["l"][150] == 0.0);
    const nlohmann::json formulae =
        isoseam_json({"observer", "--curves", "formulae", "--pigment-l", "l-alanine-180", "--json"});
    CHECK(formulae["wavelength_nm"].front() == 360.0);
    CHECK(formulae["wavelength_nm"].back() == 850.0);
    CHECK(isoseam_json({"observer", "--categorical", "2", "--field", "10", "--json"})["observer"]
              .get<std::string>()
              .starts_with("CIE 170-1:2006, field 10 deg, age 67 years, lens +8.6006 %"));
    const std::pair<std::vector<std::string>, std::string> wrong[] = {
        {{"--type", "no-such-eye"},
         "type: there is no type of eye 'no-such-eye'; write one of: trichromat, prot"},
        {{"--categorical", "11"}, "categorical: there is no categorical observer 11; choose 1 to 10"},
        {{"--categorical", "1", "--age", "40"}, "--categorical: given together with --age; leave one"},
        {{"--type", "protanope", "--pigment-l", "m"}, "--pigment-l: given together with --type; leave one"},
        {{"--pigment-l", "l-serine-180"},
         "pigment_l: the tables of CIE 170-1:2006 have no L pigment with serine"},
        {{"--pigment-m", "x"},
         "--pigment-m: there is no pigment 'x'; write l, m, l-serine-180 or l-alanine-180"},
        {{"--type", "deuteranomalous", "--shift-m", "3"}, "shift it with --deuteranomalous-shift"},
        {{"--scale", "log"}, "--scale: given without --picture; say where to draw with --picture FILE"},
        {{"--picture", ""}, "--picture: '' does not name a kind of picture"},
        {{"--protanomalous-shift", "3"}, "has no part in this eye; add --type protanomalous"},
        {{"--field", "0.5", "--lens", "-100"}, "lens: a change of density by -100 %; give more than -100 %"},
        {{"--curves", "formulae", "--from", "350"},
         "350 to 850 nm is not within the range of the formulae; stay within 360"},
        {{"--picture", "eye.bmp"},
         "--picture: 'eye.bmp' does not name a kind of picture; let the file's name end in"}};
    for (const auto& [options, message] : wrong) {
        std::vector<std::string> words{"observer"};
        words.insert(words.end(), options.begin(), options.end());
        const ProgramResult result = run_isoseam(words);
        CHECK(result.status == 2);
        CHECK_THAT(result.err, Catch::Contains(message));
    }
}

TEST_CASE("observer and light draw pictures of each kind, and nothing else when only a picture is wanted") {
    const TemporaryFolder folder;
    for (const auto& [name, start] :
         {std::pair{"eye.svg", "<?xml"}, {"eye.png", "\x89PNG"}, {"eye.pdf", "%PDF"}}) {
        for (const char* scale : {"linear", "log", "stacked"}) {
            const ProgramResult result =
                run_isoseam({"observer", "--picture", folder.file(name), "--scale", scale, "--type",
                             "tritanope", "--beside-standard", "--force"});
            CHECK(result.status == 0);
            CHECK(result.out.empty());
            CHECK(file_bytes(folder.file(name)).starts_with(start));
        }
    }
    CHECK(run_isoseam({"light", "illuminant A at 20 cd/m2", "monochromatic 589 nm at 20 cd/m2", "--picture",
                       folder.file("lights.svg")})
              .status == 0);
    CHECK_THAT(file_bytes(folder.file("lights.svg")), Catch::Contains("illuminant A at 20 cd/m2"));
    const ProgramResult refused =
        run_isoseam({"observer", "--picture", folder.path() + "/no such folder/eye.svg"});
    CHECK(refused.status == 3);
}

TEST_CASE("light gives the fixed keys, and with a display what would show it") {
    const nlohmann::json light = isoseam_json({"light", "monochromatic 589 nm at 20 cd/m2", "--json"});
    CHECK(light["luminance_cd_m2"].get<double>() == Approx(20.0).epsilon(kFiveDigits));
    CHECK(light["lms"].size() == 3);
    CHECK(light["macleod_boynton"]["l"].get<double>() + light["macleod_boynton"]["m"].get<double>() ==
          Approx(1.0).epsilon(kFiveDigits));
    const nlohmann::json shown =
        isoseam_json({"light", "xyY 0.31 0.33 at 30 cd/m2", "--display", kDemoLcd, "--json"});
    CHECK(shown["xyY"][0].get<double>() == Approx(0.31).epsilon(kFiveDigits));
    CHECK(shown["in_gamut"].get<bool>());
    CHECK(shown["drive_linear"].size() == 3);
    CHECK(shown["drive_code"].size() == 3);
    CHECK(shown["gamut_margin"].get<double>() > 0.0);
}

TEST_CASE("a light outside the gamut is an answer, and the answer is no") {
    const ProgramResult result =
        run_isoseam({"light", "monochromatic 520 nm at 20 cd/m2", "--display", kDemoLcd, "--json"});
    CHECK(result.status == 1);
    CHECK_FALSE(nlohmann::json::parse(result.out)["in_gamut"].get<bool>());
}

TEST_CASE("two lights: 520 + 700 nm against 580 nm, equal for L and M") {
    // Common practice, no source: a mixture of 520 and 700 nm can equal 580 nm for L and M. The amounts are
    // solved from the published table (CIE 170-1:2006, 2 degrees, 32 years); then the program must find no
    // difference.
    const std::map<std::string, double> published = {{"l520", 0.628561},   {"m520", 0.81661},
                                                     {"l580", 0.969429},   {"m580", 0.653274},
                                                     {"l700", 0.00589749}, {"m700", 0.000365317}};
    const auto at = [&](const char* cone, int nm) { return published.at(cone + std::to_string(nm)); };
    const double determinant = at("l", 520) * at("m", 700) - at("l", 700) * at("m", 520);
    const double near_520 = (at("l", 580) * at("m", 700) - at("l", 700) * at("m", 580)) / determinant;
    const double far_700 = (at("l", 520) * at("m", 580) - at("l", 580) * at("m", 520)) / determinant;
    REQUIRE(near_520 > 0.0);
    REQUIRE(far_700 > 0.0);
    std::ostringstream mixture;
    mixture.precision(17);
    mixture << "mixture " << near_520 << " (monochromatic 520 nm at 1 W/(sr m2)) + " << far_700
            << " (monochromatic 700 nm at 1 W/(sr m2))";
    const nlohmann::json both =
        isoseam_json({"light", "monochromatic 580 nm at 1 W/(sr m2)", mixture.str(), "--json"});
    const nlohmann::json& contrast = both["second_against_first"]["cone_contrast"];
    CHECK(std::abs(contrast["l"].get<double>()) < 1e-12);
    CHECK(std::abs(contrast["m"].get<double>()) < 1e-12);
}

TEST_CASE("two lights: for whom they look alike") {
    // 545 + 670 nm against 589 nm, as the program's own Rayleigh match has it.
    const nlohmann::json match = isoseam_json({"light", "--match", "rayleigh", "--eyes", "0", "--json"});
    const nlohmann::json solved = isoseam_json(
        {"light", "--solve", "monochromatic 545 nm at 10 cd/m2", "monochromatic 670 nm at 10 cd/m2",
         "monochromatic 450 nm at 1 cd/m2", "=", "monochromatic 589 nm at 10 cd/m2", "--json"});
    REQUIRE(solved["mixtures"].size() == 1);
    const nlohmann::json& halves = solved["mixtures"][0]["halves"];
    CHECK_FALSE(solved["mixtures"][0]["is_physical"].get<bool>());  // 545 nm gives S more than 589 nm does
    const nlohmann::json same = isoseam_json({"light", halves["mixture"].get<std::string>(),
                                              halves["wanted"].get<std::string>(), "--json", "--seed", "5"});
    CHECK(same["this_eye"]["alike"].get<bool>());
    CHECK(same["second_against_first"]["cone_contrast_length"].get<double>() < 1e-9);
    CHECK(same["eye_types"].size() == 9);
    for (const nlohmann::json& eye : same["eye_types"]) {
        const bool anomalous = eye["type"] == "protanomalous" || eye["type"] == "deuteranomalous";
        CHECK(eye["alike"].get<bool>() != anomalous);
        if (eye["type"] == "protanope")
            CHECK(eye["cone_contrast"]["l"].is_null());
    }
    CHECK(same["population"]["eyes"] == 1000);
    CHECK(same["population"]["seed"] == 5);
    CHECK(same["population"]["would_see"]["any"].get<int>() > 100);
    CHECK(same["rods"]["contrast"].is_number());
    CHECK_FALSE(same["spectrum_is_assumed"].get<bool>());
    CHECK(match["this_eye"]["match"]["share"].get<double>() == Approx(0.4318376).epsilon(1e-5));  // O3
    const ProgramResult text =
        run_isoseam({"light", "xyY 0.31 0.33 at 20 cd/m2", "equal-energy at 20 cd/m2", "--eyes", "10"});
    CHECK(text.status == 0);
    CHECK_THAT(text.out, Catch::Contains("protanope") && Catch::Contains("of 10 colour-normal eyes") &&
                             Catch::Contains("stated limits") && Catch::Contains("assumed spectrum"));
}

TEST_CASE("black and identical lights are compared without a contrast or without a difference") {
    const nlohmann::json from_black = isoseam_json({"light", "black", "equal-energy at 20 cd/m2", "--json"});
    CHECK(from_black["second_against_first"].is_null());
    CHECK_FALSE(from_black["this_eye"]["alike"].get<bool>());
    const nlohmann::json alike =
        isoseam_json({"light", "equal-energy at 20 cd/m2", "equal-energy at 20 cd/m2", "--json"});
    CHECK(alike["population"]["would_see"]["any"] == 0);
    CHECK(isoseam_json({"light", "black", "black", "--json"})["this_eye"]["alike"].get<bool>());
}

TEST_CASE("named matches are predicted for each type of eye and the population, and diagnose nobody") {
    const ProgramResult rayleigh = run_isoseam({"light", "--match", "rayleigh", "--age", "70"});
    CHECK(rayleigh.status == 0);
    CHECK_THAT(rayleigh.out, Catch::Contains("share 0.3694, amount 0.9556"));  // O3, 70 years
    CHECK_THAT(rayleigh.out, Catch::Contains("protanope") && Catch::Contains("each share; amount ="));
    CHECK_THAT(rayleigh.out,
               Catch::Contains("belong to a qualified") && Catch::EndsWith("approved instrument.\n"));
    const nlohmann::json moreland =
        isoseam_json({"light", "--match", "moreland", "--desaturation", "5 %", "--json"});
    CHECK(moreland["desaturation"] == 0.05);
    CHECK(moreland["this_eye"]["full_match"]["desaturation"].get<double>() ==
          Approx(0.07364).epsilon(1e-3));  // O4
    CHECK(moreland["population"]["share"]["standard_deviation"].get<double>() > 0.0);
    CHECK_THAT(moreland["note"].get<std::string>(), Catch::Contains("diagnosis"));
}

TEST_CASE("light refuses options that have no part in what was asked, and seeds that do not fit") {
    const std::string light = "equal-energy at 20 cd/m2";
    const std::pair<std::vector<std::string>, std::string> wrong[] = {
        {{"--match", "rayleigh", "--display", kDemoLcd}, "--display: has no part in a match with a name"},
        {{"--match", "rayleigh", "--desaturation", "5 %"}, "--desaturation: has no part in a Rayleigh match"},
        {{light, "--eyes", "5"}, "--eyes: has no part in describing one light"},
        {{light, ""}, "light ''"},
        {{light, light, "--seed", "-1"}, "-1 is no whole number from 0 to 18446744073709551615"},
        {{light, light, "--shift-m", "28"},
         "protanomalous trichromat made from this eye (shift_l): a shift by 32 nm"}};
    for (const auto& [options, message] : wrong) {
        std::vector<std::string> words{"light"};
        words.insert(words.end(), options.begin(), options.end());
        const ProgramResult result = run_isoseam(words);
        CHECK(result.status == 2);
        CHECK_THAT(result.err, Catch::Contains(message));
    }
}

TEST_CASE("light tells colours in the CIE's spaces") {
    const nlohmann::json told =
        isoseam_json({"light", "illuminant D65 at 50 cd/m2", "illuminant A at 50 cd/m2", "--white",
                      "illuminant D65 at 100 cd/m2", "--json"});
    // CIE 015: D65 has u' 0.1978, v' 0.4683; A has x 0.4476, y 0.4074 (from memory).
    CHECK(told["lights"][0]["uv_prime"][0].get<double>() == Approx(0.1978).margin(2e-4));
    CHECK(told["lights"][0]["uv_prime"][1].get<double>() == Approx(0.4683).margin(2e-4));
    CHECK(told["lights"][1]["xyY"][0].get<double>() == Approx(0.4476).margin(2e-4));
    // Half the luminance of white: L* = 116 (1/2)^(1/3) - 16.
    CHECK(told["lights"][0]["cielab"][0].get<double>() == Approx(76.0693).margin(1e-3));
    CHECK(told["lights"][0]["cielab"][1].get<double>() == Approx(0.0).margin(1e-9));
    CHECK(told["colour_difference"]["ciede2000"].get<double>() > 10.0);
    CHECK(std::abs(told["second_against_first"]["pooled_cardinal"]["s"].get<double>()) > 0.5);
    CHECK(isoseam_json({"light", "lms 0 0.01 0", "--json"})["xyY"].is_null());
}
