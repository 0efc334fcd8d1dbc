// The results commands of the built program, on rehearsed sessions.

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>

#include "colorimetry/observer.h"
#include "isoseam_program.h"
#include "results_schema/records_table.h"
#include "results_schema/session_folder.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;
namespace fs = std::filesystem;

namespace {

std::vector<std::string> rehearsed(const std::string& protocol, int observers, const std::string& out) {
    const ProgramResult result = run_isoseam({"session", "rehearse", protocol, "--observers",
                                              std::to_string(observers), "--seed", "5", "--out", out});
    INFO(result.err);
    REQUIRE(result.status == 0);
    std::vector<std::string> folders;
    for (const auto& entry : fs::directory_iterator(out))
        if (entry.is_directory())
            folders.push_back(entry.path().string());
    std::sort(folders.begin(), folders.end());
    return folders;
}

ProgramResult results(std::vector<std::string> words, const std::vector<std::string>& folders) {
    words.insert(words.begin(), "results");
    words.insert(words.end(), folders.begin(), folders.end());
    return run_isoseam(words);
}

std::vector<std::vector<std::string>> cells_of(const std::string& csv) {
    std::vector<std::vector<std::string>> rows;
    std::stringstream lines(csv);
    for (std::string line; std::getline(lines, line);) {
        std::stringstream in(line.substr(0, line.find('\r')));
        rows.emplace_back();
        for (std::string cell; std::getline(in, cell, ',');)
            rows.back().push_back(cell);
    }
    return rows;
}

}  // namespace

TEST_CASE("table and check print folders in order, in one JSON object too") {
    const TemporaryFolder out;
    const std::vector<std::string> folders = rehearsed("precision_one_screen", 12, out.path());
    std::string rows = settings_table_header();
    nlohmann::json settings = nlohmann::json::array();
    nlohmann::json states = nlohmann::json::array();
    for (const std::string& path : folders) {
        const SessionFolder folder = read_session_folder(path);
        rows += settings_table_rows(folder);
        for (const SettingRecord& setting : folder.settings)
            settings.push_back({{"session", folder.header.session},
                                {"participant", folder.header.participant},
                                {"kind", folder.header.kind},
                                {"setting", to_json(setting)}});
        states.push_back({{"folder", path},
                          {"state", "complete"},
                          {"settings", folder.settings.size()},
                          {"answers", 0},
                          {"planned_settings", folder.header.planned_settings},
                          {"events", folder.events.size()},
                          {"torn_bytes", 0},
                          {"faults", nlohmann::json::array()}});
    }
    CHECK(results({"table"}, folders).out == rows);
    CHECK(results({"table", "--format", "csv"}, folders).out == rows);
    CHECK(results({"table", "--of", "settings", "--format=csv"}, folders).out == rows);
    CHECK(results({"table", "--format", "text"}, folders).status == 2);
    CHECK(results({"table", "--json"}, folders).out == nlohmann::json{{"settings", settings}}.dump(2) + "\n");
    CHECK(results({"table", "--of", "answers", "--json"}, folders).out ==
          nlohmann::json{{"answers", nlohmann::json::array()}}.dump(2) + "\n");
    CHECK(results({"check", "--json"}, folders).out == nlohmann::json{{"sessions", states}}.dump(2) + "\n");
}

TEST_CASE("what can be read is printed, and what cannot is told with its reason") {
    const TemporaryFolder out;
    const std::vector<std::string> folders = rehearsed("precision_one_screen", 2, out.file("a"));
    fs::create_directory(out.file("foreign"));
    const std::string copy = out.file("copy");
    fs::copy(folders[0], copy);
    std::string log = file_bytes(folders[1] + "/settings.jsonl");
    log[log.rfind("\"setting\",\"data\"") + 40] = '#';
    write_file(folders[1] + "/settings.jsonl", log);
    const std::vector<std::string> given{out.file("foreign"), folders[0], copy, folders[1]};

    const ProgramResult table = results({"table"}, given);
    CHECK(table.status == 1);
    CHECK(table.out == settings_table_header() + settings_table_rows(read_session_folder(folders[0])) +
                           settings_table_rows(read_session_folder(folders[1])));
    CHECK_THAT(table.err,
               Catch::Contains("foreign/session.json: is missing or cannot be read") &&
                   Catch::Contains("isoseam: " + copy + ": left out, since it is the same session as " +
                                   folders[0] + ", which came before") &&
                   Catch::Contains("the checksum does not fit"));
    const ProgramResult check = results({"check"}, given);
    CHECK(check.status == 1);
    CHECK_THAT(check.out, Catch::StartsWith(given[0] + ": damaged") && Catch::Contains(copy + ": complete") &&
                              Catch::Contains(folders[1] + ": damaged, 29 setting(s) of 30\n"));
    const ProgramResult exported = results({"export", "--to", "csv", "--out", out.file("csv")}, given);
    CHECK(exported.status == 1);
    CHECK(file_bytes(out.file("csv/settings.csv")) == table.out);
    CHECK_THAT(exported.out, Catch::EndsWith("; not everything is there, see its README\n"));

    // Not JSON, and not even text.
    write_file(out.file("foreign/session.json"), "{\"a\":\"\xff\"}");
    const ProgramResult bytes = results({"check", "--json"}, given);
    CHECK(bytes.status == 1);
    CHECK_THAT(nlohmann::json::parse(bytes.out)["sessions"][0]["faults"][0]["found"].get<std::string>(),
               Catch::StartsWith("is not JSON"));
    CHECK(results({"export", "--json", "--to", "bids", "--out", out.file("bids")}, given).status == 1);

    const ProgramResult missing = results({"table"}, {folders[0], out.file("no1"), out.file("no2")});
    CHECK(missing.status == 2);
    CHECK(missing.out.empty());
    CHECK_THAT(missing.err,
               Catch::Contains("no1: there is no such session folder") && Catch::Contains("no2"));
}

TEST_CASE("exported spectra excite the cones as the tables say") {
    const TemporaryFolder out;
    const std::vector<std::string> folders = rehearsed("precision_one_screen", 1, out.file("a"));
    REQUIRE(results({"export", "--to", "csv", "--spectra", "--out", out.file("csv")}, folders).status == 0);
    std::map<std::pair<std::string, std::string>, std::array<std::vector<double>, 2>> spectra;
    const auto rows = cells_of(file_bytes(out.file("csv/spectra.csv")));
    REQUIRE(rows[0] ==
            std::vector<std::string>{"session", "trial", "half", "wavelength_nm", "radiance_w_sr_m2_nm"});
    for (std::size_t i = 1; i < rows.size(); ++i) {
        auto& [wavelengths_nm, values] = spectra[{rows[i].at(1), rows[i].at(2)}];
        wavelengths_nm.push_back(std::stod(rows[i].at(3)));
        values.push_back(std::stod(rows[i].at(4)));
    }
    const SessionFolder folder = read_session_folder(folders[0]);
    CHECK(spectra.size() == 2 * folder.settings.size());
    const Observer nominal = Observer::cie170(Degrees::from_degrees(folder.header.observer.field_deg),
                                              Years::from_years(folder.header.observer.age_years));
    const double rounding = 1e-12;  // of sums of a few hundred doubles
    for (const SettingRecord& setting : folder.settings) {
        for (const HalfRecord* half : {&setting.adjusted, &setting.reference}) {
            const auto& [wavelengths_nm, values] = spectra.at({std::to_string(setting.trial), half->half});
            const Lms lms = nominal.excitations(Spectrum::from_signed_w_sr_m2_nm(wavelengths_nm, values));
            CHECK(std::abs(lms.l - half->lms[0]) <= rounding * half->lms[0]);
            CHECK(std::abs(lms.m - half->lms[1]) <= rounding * half->lms[1]);
            CHECK(std::abs(lms.s - half->lms[2]) <= rounding * half->lms[2]);
        }
    }
    const ProgramResult refused =
        results({"export", "--to", "bids", "--spectra", "--out", out.file("bids")}, folders);
    CHECK(refused.status == 2);
    CHECK_THAT(refused.err, Catch::Contains("spectra are not exported to bids; export to csv"));
}
