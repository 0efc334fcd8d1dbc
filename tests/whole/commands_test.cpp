// The built program from outside: what the commands print, how they end, and what they say to bad input.

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "isoseam_program.h"
#include "support/temporary_folder.h"
#include "support/tolerances.h"

using namespace isoseam::test;

namespace {

const std::string kDemoLcd = ISOSEAM_SOURCE_DIR "/calibration/demo/demo_lcd.yaml";
const std::string kFaulty = ISOSEAM_SOURCE_DIR "/tests/calibration/faulty/";

nlohmann::json json_of(const std::vector<std::string>& words) {
    const ProgramResult result = run_isoseam(words);
    INFO(result.err);
    REQUIRE(result.status == 0);
    return nlohmann::json::parse(result.out);
}

void write(const std::string& path, const std::string& text) {
    std::ofstream(path) << text;
}

std::string read(const std::string& path) {
    std::ifstream stream(path);
    return {std::istreambuf_iterator<char>(stream), {}};
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

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
    const nlohmann::json energy = json_of({"observer", "--json"});
    const nlohmann::json quantal = json_of({"observer", "--quantal", "--json"});
    const auto ratio = [&](int row) {
        return energy["l"][row].get<double>() / quantal["l"][row].get<double>() /
               energy["wavelength_nm"][row].get<double>();
    };
    CHECK(ratio(10) == Approx(ratio(300)).epsilon(1e-9));
    const nlohmann::json shifted = json_of({"observer", "--shift-l", "-3", "--json"});
    CHECK(shifted["l"][300].get<double>() < energy["l"][300].get<double>());  // 690 nm
    CHECK(shifted["m"][300].get<double>() == Approx(energy["m"][300].get<double>()).epsilon(1e-3));
}

TEST_CASE("observer takes types, pigments, formulae and categorical eyes, and says what cannot be") {
    const nlohmann::json protanope = json_of({"observer", "--type", "protanope", "--json"});
    CHECK(protanope["observer"] == "CIE 170-1:2006, field 2 deg, age 32 years, lacks L (published table)");
    CHECK(protanope["l"][150] == 0.0);
    const nlohmann::json formulae =
        json_of({"observer", "--curves", "formulae", "--pigment-l", "l-alanine-180", "--json"});
    CHECK(formulae["wavelength_nm"].front() == 360.0);
    CHECK(formulae["wavelength_nm"].back() == 850.0);
    CHECK(json_of({"observer", "--categorical", "2", "--field", "10", "--json"})["observer"]
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
            CHECK(read(folder.file(name)).starts_with(start));
        }
    }
    CHECK(run_isoseam({"light", "illuminant A at 20 cd/m2", "monochromatic 589 nm at 20 cd/m2", "--picture",
                       folder.file("lights.svg")})
              .status == 0);
    CHECK_THAT(read(folder.file("lights.svg")), Catch::Contains("illuminant A at 20 cd/m2"));
    const ProgramResult refused =
        run_isoseam({"observer", "--picture", folder.path() + "/no such folder/eye.svg"});
    CHECK(refused.status == 3);
}

TEST_CASE("light gives the fixed keys, and with a display what would show it") {
    const nlohmann::json light = json_of({"light", "monochromatic 589 nm at 20 cd/m2", "--json"});
    CHECK(light["luminance_cd_m2"].get<double>() == Approx(20.0).epsilon(kFiveDigits));
    CHECK(light["lms"].size() == 3);
    CHECK(light["macleod_boynton"]["l"].get<double>() + light["macleod_boynton"]["m"].get<double>() ==
          Approx(1.0).epsilon(kFiveDigits));
    const nlohmann::json shown =
        json_of({"light", "xyY 0.31 0.33 at 30 cd/m2", "--display", kDemoLcd, "--json"});
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
        json_of({"light", "monochromatic 580 nm at 1 W/(sr m2)", mixture.str(), "--json"});
    const nlohmann::json& contrast = both["second_against_first"]["cone_contrast"];
    CHECK(std::abs(contrast["l"].get<double>()) < 1e-12);
    CHECK(std::abs(contrast["m"].get<double>()) < 1e-12);
}

TEST_CASE("two lights: for whom they look alike") {
    // 545 + 670 nm against 589 nm, as the program's own Rayleigh match has it.
    const nlohmann::json match = json_of({"light", "--match", "rayleigh", "--eyes", "0", "--json"});
    const nlohmann::json solved =
        json_of({"light", "--solve", "monochromatic 545 nm at 10 cd/m2", "monochromatic 670 nm at 10 cd/m2",
                 "monochromatic 450 nm at 1 cd/m2", "=", "monochromatic 589 nm at 10 cd/m2", "--json"});
    REQUIRE(solved["mixtures"].size() == 1);
    const nlohmann::json& halves = solved["mixtures"][0]["halves"];
    CHECK_FALSE(solved["mixtures"][0]["is_physical"].get<bool>());  // 545 nm gives S more than 589 nm does
    const nlohmann::json same = json_of({"light", halves["mixture"].get<std::string>(),
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
    const nlohmann::json from_black = json_of({"light", "black", "equal-energy at 20 cd/m2", "--json"});
    CHECK(from_black["second_against_first"].is_null());
    CHECK_FALSE(from_black["this_eye"]["alike"].get<bool>());
    const nlohmann::json alike =
        json_of({"light", "equal-energy at 20 cd/m2", "equal-energy at 20 cd/m2", "--json"});
    CHECK(alike["population"]["would_see"]["any"] == 0);
    CHECK(json_of({"light", "black", "black", "--json"})["this_eye"]["alike"].get<bool>());
}

TEST_CASE("named matches are predicted for each type of eye and the population, and diagnose nobody") {
    const ProgramResult rayleigh = run_isoseam({"light", "--match", "rayleigh", "--age", "70"});
    CHECK(rayleigh.status == 0);
    CHECK_THAT(rayleigh.out, Catch::Contains("share 0.3694, amount 0.9556"));  // O3, 70 years
    CHECK_THAT(rayleigh.out, Catch::Contains("protanope") && Catch::Contains("each share; amount ="));
    CHECK_THAT(rayleigh.out,
               Catch::Contains("belong to a qualified") && Catch::EndsWith("approved instrument.\n"));
    const nlohmann::json moreland =
        json_of({"light", "--match", "moreland", "--desaturation", "5 %", "--json"});
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
    const nlohmann::json told = json_of({"light", "illuminant D65 at 50 cd/m2", "illuminant A at 50 cd/m2",
                                         "--white", "illuminant D65 at 100 cd/m2", "--json"});
    // CIE 015: D65 has u' 0.1978, v' 0.4683; A has x 0.4476, y 0.4074 (from memory).
    CHECK(told["lights"][0]["uv_prime"][0].get<double>() == Approx(0.1978).margin(2e-4));
    CHECK(told["lights"][0]["uv_prime"][1].get<double>() == Approx(0.4683).margin(2e-4));
    CHECK(told["lights"][1]["xyY"][0].get<double>() == Approx(0.4476).margin(2e-4));
    // Half the luminance of white: L* = 116 (1/2)^(1/3) - 16.
    CHECK(told["lights"][0]["cielab"][0].get<double>() == Approx(76.0693).margin(1e-3));
    CHECK(told["lights"][0]["cielab"][1].get<double>() == Approx(0.0).margin(1e-9));
    CHECK(told["colour_difference"]["ciede2000"].get<double>() > 10.0);
    CHECK(std::abs(told["second_against_first"]["pooled_cardinal"]["s"].get<double>()) > 0.5);
    CHECK(json_of({"light", "lms 0 0.01 0", "--json"})["xyY"].is_null());
}

TEST_CASE("wrong usage and bad files end with 2 and say where, what and what to do") {
    const TemporaryFolder folder;
    const std::string lcd = read(kDemoLcd);
    write(folder.file("version.yaml"), replaced(lcd, "isoseam_calibration: 1", "isoseam_calibration: 7"));
    write(folder.file("unit.yaml"), replaced(lcd, "W/(sr m2 nm)", "mW/(sr m2 nm)"));
    write(folder.file("key.yaml"), replaced(lcd, "valid_until:", "valid_untill:"));
    struct Case {
        std::vector<std::string> words;
        std::vector<std::string> said;
    };
    const std::vector<Case> cases = {
        {{}, {"--help"}},
        {{"obsever"}, {"obsever", "--help"}},
        {{"observer", "--field", "12"}, {"field", "1 to 10"}},
        {{"observer", "--age", "95"}, {"age", "20 to 80"}},
        {{"light", "monochromatic 589 mm at 20 cd/m2"}, {"mm", "nm"}},
        {{"light", "monocromatic 589 nm at 20 cd/m2"}, {"monocromatic", "monochromatic"}},
        {{"light", "xyY 0.3 0.3 at 20 cd/m2", "--display", folder.file("none.yaml")}, {"none.yaml"}},
        {{"light"}, {"no light", "monochromatic 589 nm"}},
        {{"light", "equal-energy at 20 cd/m2", "black", "--threshold", "1"}, {"--threshold", "no unit", "%"}},
        {{"light", "equal-energy at 20 cd/m2", "black", "--threshold-s", "0 %"},
         {"threshold-s", "more than 0 %"}},
        {{"light", "equal-energy at 20 cd/m2", "black", "--eyes", "-3"}, {"--eyes", "-3"}},
        {{"light", "--match", "raleigh"}, {"raleigh", "rayleigh"}},
        {{"light", "black", "--match", "rayleigh"}, {"--match", "its own lights"}},
        {{"light", "--match", "moreland", "--desaturation", "100 %"}, {"desaturation", "less than 100 %"}},
        {{"light", "--solve", "black", "black", "black", "black"},
         {"--solve", "4 words without '='", "A B C"}},
        {{"light", "--solve", "monochromatic 530 nm at 1 cd/m2", "monochromatic 530 nm at 2 cd/m2",
          "monochromatic 450 nm at 1 cd/m2", "=", "equal-energy at 1 cd/m2"},
         {"condition number", "10000"}},
        {{"display", "show", folder.file("version.yaml")}, {"version.yaml:", "isoseam_calibration", "7"}},
        {{"display", "show", folder.file("unit.yaml")}, {"unit.yaml:", "mW/(sr m2 nm)", "W/(sr m2 nm)"}},
        {{"display", "show", folder.file("key.yaml")}, {"key.yaml:", "valid_untill", "valid_until"}},
        {{"display", "show", kFaulty + "negative_sample.yaml"}, {"negative_sample.yaml:", "negative"}},
        {{"display", "show", kFaulty + "wavelengths_out_of_order.yaml"},
         {"wavelengths_out_of_order.yaml:", "wavelength"}},
        {{"display", "show", kFaulty + "tone_not_rising.yaml"}, {"tone_not_rising.yaml:", "tone"}},
        {{"protocol", "check", "precision_one_screen", "--calibration", kDemoLcd, "--calibration", kDemoLcd},
         {"each has its file already", "SOURCE=FILE"}},
        {{"session", "run", "demo", "--participant", "P01", "--headless", "--window", "0x0"},
         {"'0x0' is not a size"}},
        {{"protocol", "check", "no_such_protocol"}, {"no_such_protocol", "precision_one_screen"}},
        {{"session", "run", "demo", "--participant", "Ann Smith", "--headless"},
         {"'Ann Smith'", "identifies a person"}},
        {{"session", "run", "demo", "--participant", "P01", "--calibration", "screen9=x.yaml", "--headless"},
         {"screen9"}},
        {{"session", "run", "demo", "--participant", "P01", "--window", "large"},
         {"'large' is not a size", "1024x768"}},
        {{"results", "check", folder.file("nothing")}, {"nothing"}},
    };
    for (const Case& c : cases) {
        const ProgramResult result = run_isoseam(c.words);
        INFO(result.err);
        CHECK(result.status == 2);
        for (const std::string& words : c.said)
            CHECK_THAT(result.err, Catch::Contains(words));
    }
}

TEST_CASE("a rig without a calibration says which source wants one") {
    const TemporaryFolder folder;
    std::string protocol = read(ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml");
    protocol = replaced(protocol, "screen: ../../calibration/demo/demo_lcd.yaml", "screen: ");
    write(folder.file("bare.yaml"), protocol);
    const ProgramResult result =
        run_isoseam({"session", "run", folder.file("bare.yaml"), "--participant", "P01", "--headless"});
    CHECK(result.status == 2);
    CHECK_THAT(result.err, Catch::Contains("screen") && Catch::Contains("--calibration"));
    CHECK(run_isoseam({"protocol", "check", folder.file("bare.yaml"), "--calibration", kDemoLcd}).status ==
          0);
}

TEST_CASE("an expired calibration stops a session before it starts, with a way out") {
    const TemporaryFolder folder;
    write(folder.file("old.yaml"),
          replaced(read(kDemoLcd), "valid_until: 2099-12-31", "valid_until: 2026-11-21"));
    const std::vector<std::string> words = {
        "session",       "run", "precision_one_screen", "--calibration", folder.file("old.yaml"),
        "--participant", "P01", "--headless",           "--out",         folder.path()};
    const ProgramResult result = run_isoseam(words);
    CHECK(result.status == 2);
    CHECK_THAT(result.err, Catch::Contains("expired on 2026-11-21") && Catch::Contains("--despite expired"));
}

TEST_CASE("no screen ends with 3 and says what to do") {
    const TemporaryFolder folder;
    ProgramOptions options;
    options.unset = {"DISPLAY", "WAYLAND_DISPLAY"};
    options.environment = {{"SDL_VIDEODRIVER", "x11"}};
    const ProgramResult result =
        run_isoseam({"session", "run", "demo", "--participant", "P01", "--out", folder.path()}, options);
    CHECK(result.status == 3);
    CHECK_THAT(result.err, Catch::Contains("no screen") && Catch::Contains("--headless"));
    CHECK(std::filesystem::is_empty(folder.path()));  // nothing was begun
}

TEST_CASE("a folder that cannot be written ends with 3 and names it") {
    const TemporaryFolder folder;
    write(folder.file("taken"), "a file where the sessions' folder should be");
    const ProgramResult result =
        run_isoseam({"session", "rehearse", "demo", "--out", folder.file("taken") + "/sessions"});
    CHECK(result.status == 3);
    CHECK_THAT(result.err, Catch::Contains("taken"));
}

TEST_CASE("a full disk ends with 3 before anything is begun") {
    // A file system of 1 MB of its own, where the system lets a user have one.
    if (run_program({"unshare", "-rm", "true"}).status != 0) {
        WARN("no user namespaces here: not tried");
        return;
    }
    const TemporaryFolder folder;
    const std::string script = "mount -t tmpfs -o size=1m tmpfs " + folder.path() +
                               " && exec " ISOSEAM_BINARY_DIR "/runner/isoseam session rehearse demo --out " +
                               folder.path() + "/sessions";
    const ProgramResult result = run_program({"unshare", "-rm", "sh", "-c", script});
    CHECK(result.status == 3);
    CHECK_THAT(result.err, Catch::Contains("has 1 MB free") && Catch::Contains("--out"));
}

TEST_CASE(
    "protocol check tells what matches on one screen cannot show, and names a light out of gamut at its "
    "line") {
    const ProgramResult good = run_isoseam({"protocol", "check", "precision_one_screen", "--json"});
    REQUIRE(good.status == 0);
    const nlohmann::json report = nlohmann::json::parse(good.out);
    CHECK(report["halves_share_primaries"].get<bool>());
    CHECK(report["settings"] == 30);
    CHECK_THAT(report["cautions"].dump(), Catch::Contains("never") && Catch::Contains("same primaries"));
    CHECK_FALSE(json_of({"protocol", "check", "metamer_two_sources", "--json"})["halves_share_primaries"]
                    .get<bool>());

    const TemporaryFolder folder;
    std::string protocol = read(ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml");
    protocol = replaced(protocol, "grey: xyY 0.31 0.33 at 30 cd/m2", "grey: xyY 0.31 0.33 at 300 cd/m2");
    protocol = replaced(protocol, "../../calibration/demo/demo_lcd.yaml", kDemoLcd);
    write(folder.file("bright.yaml"), protocol);
    const ProgramResult bad = run_isoseam({"protocol", "check", folder.file("bright.yaml")});
    CHECK(bad.status == 1);
    CHECK_THAT(bad.err,
               Catch::Contains("bright.yaml:") && Catch::Contains("grey") && Catch::Contains("gamut"));
}

TEST_CASE("every command explains itself") {
    const std::map<std::string, std::string> words = {
        {"observer", "--density-l"}, {"light", "monochromatic 589 nm"}, {"display", "show"},
        {"protocol", "check"},       {"session", "rehearse"},           {"results", "table"},
        {"analyse", "thresholds"}};
    for (const auto& [command, word] : words) {
        const ProgramResult result = run_isoseam({command, "--help"});
        CHECK(result.status == 0);
        CHECK_THAT(result.out, Catch::Contains(word));
    }
}
