// isoseam analyse report, from outside.

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <pugixml.hpp>

#include "isoseam_program.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam::test;
using Catch::Matchers::Contains;

namespace {

std::vector<std::string> rehearsed(const TemporaryFolder& folder) {
    const std::string out = folder.file("rehearsals");
    REQUIRE(run_isoseam({"session", "rehearse", "precision_one_screen", "--observers", "2", "--out", out})
                .status == 0);
    std::vector<std::string> folders;
    for (const auto& entry : std::filesystem::directory_iterator(out))
        folders.push_back(entry.path().string());
    std::sort(folders.begin(), folders.end());
    REQUIRE(folders.size() == 2);
    return folders;
}

}  // namespace

TEST_CASE("analyse report writes a page and a PDF, the same bytes each time") {
    const TemporaryFolder folder;
    const std::vector<std::string> folders = rehearsed(folder);
    const auto write = [&](const std::string& name) {
        const ProgramResult result =
            run_isoseam({"analyse", "report", folders[0], folders[1], "--out", folder.file(name + ".html"),
                         "--pdf", folder.file(name + ".pdf")});
        CHECK(result.err.empty());
        CHECK(result.status == 0);
        CHECK(result.out == folder.file(name + ".html") + "\n" + folder.file(name + ".pdf") + "\n");
    };
    write("one");
    write("two");
    const std::string page = file_bytes(folder.file("one.html"));
    CHECK(page == file_bytes(folder.file("two.html")));
    CHECK(file_bytes(folder.file("one.pdf")) == file_bytes(folder.file("two.pdf")));
    CHECK(file_bytes(folder.file("one.pdf")).starts_with("%PDF-"));
    pugi::xml_document parsed;
    REQUIRE(parsed.load_string(page.c_str(), pugi::parse_full));
    CHECK(parsed.select_node("//section[@class = 'warnings']//li[starts-with(., 'REHEARSAL.')]"));
    CHECK(parsed.select_nodes("//th[. = 'simulated-0002']").size() > 1);
}

TEST_CASE("analyse report ends with 1 where a folder was left out, and names it") {
    const TemporaryFolder folder;
    const std::vector<std::string> folders = rehearsed(folder);
    const std::string page = folder.file("report.html");
    const ProgramResult twice =
        run_isoseam({"analyse", "report", folders[0], folders[0], "--out", page, "--json"});
    CHECK(twice.status == 1);
    const auto json = nlohmann::json::parse(twice.out);
    CHECK(json.at("report") == page);
    CHECK(json.at("pdf").is_null());
    CHECK(json.at("sections").at(0) == "Read this first");
    CHECK(json.at("folders").at(1).at("used") == false);
    CHECK_THAT(file_bytes(page), Contains("it is the same session as"));

    const ProgramResult same = run_isoseam({"analyse", "report", folders[0], "--out", page, "--pdf", page});
    CHECK(same.status == 2);
    CHECK_THAT(same.err, Contains("is the page's file too; write page and PDF to two files"));
    const ProgramResult nowhere =
        run_isoseam({"analyse", "report", folders[0], "--out", folder.file("no/such/report.html")});
    CHECK(nowhere.status == 3);
}
