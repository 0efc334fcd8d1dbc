#include "runner/page_files.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <map>
#include <set>
#include <string>

#include "calibration/yaml_reader.h"

using namespace isoseam;

TEST_CASE("every file of the pages is built in, byte for byte, with the type that a browser asks for") {
    // Types as registered with IANA; RFC 9239 for JavaScript.
    const std::map<std::string, std::string> types{{".html", "text/html; charset=utf-8"},
                                                   {".js", "text/javascript; charset=utf-8"},
                                                   {".css", "text/css; charset=utf-8"},
                                                   {".svg", "image/svg+xml"}};
    std::set<std::string> on_disk{"chart.js"};
    for (const auto& file : std::filesystem::directory_iterator(ISOSEAM_SOURCE_DIR "/runner/pages")) {
        if (types.count(file.path().extension()) == 0)
            continue;
        const std::string name = file.path().filename();
        CAPTURE(name);
        on_disk.insert(name);
        const PageFile* page = page_file(name);
        REQUIRE(page != nullptr);
        CHECK(page->bytes == read_text_file(file.path()));
        CHECK(page->content_type == types.at(file.path().extension()));
    }
    std::set<std::string> built_in;
    for (const PageFile& page : page_files())
        built_in.insert(std::string(page.name));
    CHECK(built_in == on_disk);
}

TEST_CASE("the chart library is whole, with its licence") {
    const PageFile* chart = page_file("chart.js");
    REQUIRE(chart != nullptr);
    CHECK(chart->bytes.find("Chart.js v3") != std::string_view::npos);
    CHECK(chart->bytes.find("Released under the MIT License") != std::string_view::npos);
    // A script in the older way, which names itself Chart; a minified one of more than 100,000 letters.
    CHECK(chart->bytes.find("Chart=") != std::string_view::npos);
    CHECK(chart->bytes.size() > 100000);
}

TEST_CASE("only whole names are in the table") {
    for (const char* name :
         {"", "class", "/class.js", "../pages/class.js", "class.js/", "CLASS.JS", "README.md"})
        CHECK(page_file(name) == nullptr);
}
