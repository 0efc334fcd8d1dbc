// The rules of BIDS and of Psych-DS that are held here are from memory of their specifications.
#include "results_schema/export.h"

#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>
#include <sstream>

#include "results_schema/records_table.h"
#include "results_schema/table_columns.h"
#include "support/example_session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
namespace fs = std::filesystem;

namespace {

std::string write_both(const std::string& parent, const std::string& participant) {
    SessionHeader header = test::example_header();
    header.participant = participant;
    SessionLog log = SessionLog::create(parent, header, Durability::at_end);
    log.append(0.0, "session_started", nlohmann::json::object());
    log.append(1.0, test::example_setting(1, "tab\tand \"quotes\""));
    test::append_people_and_answers(log, 2.0);
    log.append(3.0, "session_ended", {{"reason", "finished"}, {"settings", 1}, {"answers", 1}});
    return log.folder();
}

ExportOrder order_of(std::vector<std::string> folders, ExportForm form, const std::string& out) {
    return {std::move(folders), form, out, "Seam", "2026-11-26", "0.1.0", {}};
}

nlohmann::json json_file(const fs::path& path) {
    return nlohmann::json::parse(test::file_bytes(path.string()));
}

std::vector<std::string> split(const std::string& text, char at) {
    std::vector<std::string> parts;
    std::stringstream in(text);
    for (std::string part; std::getline(in, part, at);)
        parts.push_back(part);
    return parts;
}

}  // namespace

TEST_CASE("a BIDS data set: names, tables and a description of every column") {
    const test::TemporaryFolder place;
    const std::vector<std::string> folders{write_both(place.path(), "P-01"), write_both(place.path(), "p01"),
                                           write_both(place.path(), "P-01")};
    const ExportReport report = export_sessions(order_of(folders, ExportForm::bids, place.file("out")));
    CHECK(report.whole());
    const fs::path out = place.file("out");
    CHECK(json_file(out / "dataset_description.json")["Name"] == "Seam");
    CHECK(json_file(out / "dataset_description.json").contains("BIDSVersion"));
    // Labels hold letters and digits only, and differ in more than the case of letters.
    CHECK(test::file_bytes(out / "participants.tsv") ==
          "participant_id\tparticipant_code\tsessions\nsub-P01\tP-01\t2\nsub-p01x2\tp01\t1\n");
    CHECK(fs::exists(out / "sub-P01/ses-02/beh/sub-P01_ses-02_task-twosourcesanswers_beh.tsv"));
    const std::regex entity(
        "sub-([A-Za-z0-9]+)/ses-([A-Za-z0-9]+)/beh/sub-\\1_ses-\\2_task-[A-Za-z0-9]+_beh\\.(tsv|json)");
    std::size_t tables = 0;
    for (const std::string& name : report.files) {
        if (name.find("/beh/") == std::string::npos)
            continue;
        CHECK(std::regex_match(name, entity));
        if (!name.ends_with(".tsv"))
            continue;
        ++tables;
        const std::string text = test::file_bytes(out / name);
        CHECK(text.find('\r') == std::string::npos);
        CHECK(text.find("\t\t") == std::string::npos);  // what is missing is n/a
        const nlohmann::json sidecar = json_file(out / (name.substr(0, name.size() - 3) + "json"));
        for (const std::string& column : split(text.substr(0, text.find('\n')), '\t')) {
            INFO(column);
            CHECK(sidecar[column].contains("Description"));
        }
        // The label is the task's name without what is neither letter nor digit.
        CHECK(std::regex_replace(sidecar["TaskName"].get<std::string>(), std::regex("[^A-Za-z0-9]"), "") ==
              std::regex_replace(name, std::regex(".*_task-(.*)_beh.*"), "$1"));
    }
    CHECK(tables == 6);
    const std::string settings =
        test::file_bytes(out / "sub-P01/ses-01/beh/sub-P01_ses-01_task-twosourcessettings_beh.tsv");
    CHECK_THAT(settings, Catch::Contains("\t\"tab\tand \"\"quotes\"\"\"\t"));
}

TEST_CASE("a Psych-DS data set: schema.org's Dataset, and every column is a variable") {
    const test::TemporaryFolder place;
    const ExportReport report =
        export_sessions(order_of({write_both(place.path(), "P01")}, ExportForm::psych_ds, place.file("out")));
    const fs::path out = place.file("out");
    const nlohmann::json description = json_file(out / "dataset_description.json");
    CHECK(description["@type"] == "Dataset");
    CHECK(description["@context"] == "https://schema.org/");
    std::set<std::string> variables;
    for (const nlohmann::json& variable : description["variableMeasured"]) {
        CHECK(variables.insert(variable["name"].get<std::string>()).second);
        CHECK(variable["@type"] == "PropertyValue");
        CHECK_FALSE(variable["description"].get<std::string>().empty());
        // schema.org: a regular expression, which words about levels are not.
        CHECK_FALSE(variable.contains("valuePattern"));
        if (variable["name"] == "kind")
            CHECK_THAT(variable["description"].get<std::string>(),
                       Catch::EndsWith(". Values: session: a person; rehearsal: a simulated observer"));
    }
    std::size_t tables = 0;
    for (const std::string& name : report.files) {
        if (!name.starts_with("data/"))
            continue;
        ++tables;
        CHECK(std::regex_match(name, std::regex("data/([a-z]+-[A-Za-z0-9]+_)+data\\.csv")));
        const std::string text = test::file_bytes(out / name);
        for (const std::string& column : split(text.substr(0, text.find('\r')), ','))
            CHECK(variables.contains(column));
    }
    CHECK(tables == 2);
}

TEST_CASE("one long table holds the rows of all sessions, as the table command prints them") {
    const test::TemporaryFolder place;
    std::vector<std::string> folders;
    std::string rows = settings_table_header();
    for (int i = 0; i < 20; ++i) {
        folders.push_back(write_both(place.path(), "P" + std::to_string(i)));
        rows += settings_table_rows(read_session_folder(folders.back()));
    }
    export_sessions(order_of(folders, ExportForm::csv, place.file("out")));
    CHECK(test::file_bytes(place.file("out/settings.csv")) == rows);
    const nlohmann::json dictionary = json_file(place.file("out/dictionary.json"));
    CHECK(dictionary["settings"].size() == settings_columns().size());
    CHECK(dictionary["answers"].size() == answers_columns().size());
}

TEST_CASE("consent, questions and their answers are not exported") {
    const test::TemporaryFolder place;
    for (const ExportForm form : {ExportForm::bids, ExportForm::psych_ds, ExportForm::csv}) {
        const std::string out = place.file("out" + std::to_string(static_cast<int>(form)));
        const ExportReport report = export_sessions(
            order_of({write_both(place.file("in" + out.substr(out.size() - 1)), "P01")}, form, out));
        for (const std::string& name : report.files) {
            const std::string text = test::file_bytes(out + "/" + name);
            CHECK(text.find("glasses") == std::string::npos);
            CHECK(text.find("consent") == std::string::npos);
        }
    }
}

TEST_CASE("damage, foreign folders, other versions and copies are listed, and what can be read is exported") {
    const test::TemporaryFolder place;
    const std::string sound = test::write_example(place.file("1"), 3);
    const std::string copy = place.file("copy");
    fs::copy(sound, copy);
    SessionHeader header = test::example_header();
    header.participant = "P02";
    const auto write = [&](const std::string& parent, const std::string& reason) {
        return test::write_session(
            place.file(parent), header,
            {test::example_setting(1), test::example_setting(2), test::example_setting(3)}, reason);
    };
    const std::string damaged = write("2", "finished");
    std::string log = test::file_bytes(damaged + "/settings.jsonl");
    log[log.rfind("\"setting\",\"data\"") + 40] = '#';
    test::write_file(damaged + "/settings.jsonl", log);
    header.participant = "P03";
    const std::string torn = write("3", "");
    log = test::file_bytes(torn + "/settings.jsonl");
    log.resize(log.size() - 50);
    test::write_file(torn + "/settings.jsonl", log);
    header.participant = "P04";
    const std::string newer = write("4", "finished");
    nlohmann::json json = json_file(newer + "/session.json");
    json["results_version"] = 2;
    json["program_version"] = "3.0.0";
    test::write_file(newer + "/session.json", json.dump());
    fs::create_directory(place.file("foreign"));

    const std::vector<std::string> given{damaged, sound, place.file("foreign") + "/", newer, copy, torn};
    const ExportReport report = export_sessions(order_of(given, ExportForm::csv, place.file("out")));
    CHECK_FALSE(report.whole());
    REQUIRE(report.folders.size() == given.size());
    CHECK(report.folders[0].settings == 2);
    CHECK_THAT(report.folders[0].reason,
               Catch::StartsWith("damaged (settings.jsonl, line 13: the checksum does not fit") &&
                   Catch::Contains("the 2 setting(s) and 0 answer(s) before the fault are exported"));
    CHECK(report.folders[1].settings == 3);
    CHECK(report.folders[1].reason.empty());
    CHECK_THAT(report.folders[2].reason, Catch::Contains("damaged (session.json: is missing") &&
                                             Catch::Contains("nothing of it could be read"));
    CHECK_THAT(report.folders[3].reason, Catch::Contains("results version 2"));
    CHECK(report.folders[4].settings == 0);
    CHECK_THAT(report.folders[4].reason, Catch::Contains("the same session as " + sound));
    CHECK(report.folders[5].settings == 2);
    CHECK(report.folders[5].reason.empty());
    const std::string settings = test::file_bytes(place.file("out/settings.csv"));
    CHECK(std::count(settings.begin(), settings.end(), '\n') == 1 + 2 + 3 + 2);
    const std::string readme = test::file_bytes(place.file("out/README.md"));
    CHECK_THAT(readme, Catch::Contains("## Left out") &&
                           Catch::Contains("- foreign: damaged; nothing of it could be read\n") &&
                           Catch::Contains("- " + report.folders[1].session +
                                           ": given more than once, and here once"));
    CHECK(readme.find(place.path()) == std::string::npos);
}

TEST_CASE("nothing is overwritten, and all missing folders are named") {
    const test::TemporaryFolder place;
    const std::string sound = test::write_example(place.path(), 1);
    CHECK_THROWS_WITH(export_sessions(order_of({sound}, ExportForm::csv, place.path())),
                      Catch::Contains("this folder is not empty, and nothing is overwritten"));
    CHECK_THROWS_WITH(export_sessions(order_of({place.file("no1"), sound, place.file("no2")}, ExportForm::csv,
                                               place.file("out"))),
                      Catch::Contains("no1: there is no such session folder") && Catch::Contains("no2"));
    fs::create_directory(place.file("out.unfinished"));
    CHECK_THROWS_WITH(export_sessions(order_of({sound}, ExportForm::csv, place.file("out/"))),
                      Catch::Contains("is what an export that did not come to its end has left; remove it"));
    CHECK_FALSE(fs::exists(place.file("out")));
    fs::remove(place.file("out.unfinished"));
    // An empty folder may be there, and a part of the path may be missing.
    fs::create_directory(place.file("out"));
    CHECK(export_sessions(order_of({sound}, ExportForm::csv, place.file("out/"))).whole());
    CHECK(export_sessions(order_of({sound}, ExportForm::csv, place.file("a/b"))).whole());
    CHECK(fs::exists(place.file("a/b/settings.csv")));
}

TEST_CASE("an export that fails leaves nothing behind") {
    const test::TemporaryFolder place;
    const std::vector<std::string> folders{write_both(place.file("in"), "P01"),
                                           write_both(place.file("in"), "P02")};
    for (const ExportForm form : {ExportForm::bids, ExportForm::psych_ds, ExportForm::csv}) {
        // The n-th call fails, for every n until all goes well.
        int failures = 0;
        for (bool failed = true; failed; failures += failed ? 1 : 0) {
            int calls = 0;
            SystemCalls system = SystemCalls::real();
            system.write = [&](int fd, const void* bytes, std::size_t count) -> ssize_t {
                if (calls++ == failures) {
                    errno = ENOSPC;
                    return -1;
                }
                return ::write(fd, bytes, count);
            };
            try {
                export_sessions(order_of(folders, form, place.file("out")), system);
                failed = false;
            } catch (const MachineError& error) {
                CHECK_THAT(error.what(), Catch::StartsWith("disk full: cannot write " + place.file("out")));
                CHECK_FALSE(fs::exists(place.file("out")));
            }
            CHECK_FALSE(fs::exists(place.file("out.unfinished")));
        }
        CHECK(failures > 5);
        fs::remove_all(place.file("out"));
    }
}

TEST_CASE("spectra of both lights of every setting and answer") {
    const test::TemporaryFolder place;
    ExportOrder order = order_of({write_both(place.file("in"), "P01"), write_both(place.file("in"), "P02")},
                                 ExportForm::csv, place.file("out"));
    order.spectrum_of = [](const SessionHeader& header, const HalfRecord& half) -> HalfSpectrum {
        if (header.participant == "P02")
            throw InputError(Fault{"lcd.yaml", 7, 0, "", "there are no primaries", ""});
        return {{400.0, 400.5}, {half.linear[0], 1.0 / 3.0}};
    };
    const ExportReport report = export_sessions(order);
    const std::string session = report.folders[0].session;
    std::string expected = "session,trial,half,wavelength_nm,radiance_w_sr_m2_nm\r\n";
    for (const std::string light :
         {"1,right,400,0.25", "1,left,400,0.5", "901,left,400,0.25", "901,right,400,0.5"})
        expected += session + "," + light + "\r\n" + session + "," +
                    std::regex_replace(light, std::regex("400,.*"), "400.5,0.3333333333333333") + "\r\n";
    CHECK(test::file_bytes(place.file("out/spectra.csv")) == expected);
    CHECK(json_file(place.file("out/dictionary.json"))["spectra"].size() == 5);
    // What cannot be told of one session does not take its settings away.
    CHECK(report.folders[0].reason.empty());
    CHECK(report.folders[1].settings == 1);
    CHECK(report.folders[1].reason == "its spectra are not there (lcd.yaml, line 7: there are no primaries)");
}
