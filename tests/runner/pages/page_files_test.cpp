#include "runner/pages/page_files.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "base/yaml_reader.h"

using namespace isoseam;

namespace {

// Without the first lines' imports, and without the word export: what stands in a page's one script.
std::string without_module_words(const std::string& module) {
    std::string text;
    std::istringstream lines(module);
    for (std::string line; std::getline(lines, line);) {
        if (line.rfind("import ", 0) == 0)
            continue;
        text += (line.rfind("export ", 0) == 0 ? line.substr(7) : line) + "\n";
    }
    return text;
}

std::string module_text(const std::string& name) {
    return read_text_file(ISOSEAM_SOURCE_DIR "/runner/pages/" + name);
}

std::vector<std::string> imports_of(const std::string& module) {
    const std::regex import("from \"\\./([a-z_]+\\.js)\";");
    std::vector<std::string> names;
    for (std::sregex_iterator at(module.begin(), module.end(), import), none; at != none; ++at)
        names.push_back((*at)[1].str());
    return names;
}

}  // namespace

TEST_CASE("every file of the pages is built in, byte for byte, with the type that a browser asks for") {
    // Types as registered with IANA; RFC 9239 for JavaScript.
    const std::map<std::string, std::string> types{{".html", "text/html; charset=utf-8"},
                                                   {".css", "text/css; charset=utf-8"},
                                                   {".svg", "image/svg+xml"}};
    std::set<std::string> on_disk{"chart.js", "class.js", "desk.js"};
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
    CHECK(page_file("class.js")->content_type == "text/javascript; charset=utf-8");
}

// Each file more is another request of each telephone, and another connection.
TEST_CASE("a page's modules are one script, which holds each of them whole, after those that it uses") {
    for (const std::string page : {"class.js", "desk.js"}) {
        const std::string script(page_file(page)->bytes);
        CHECK(script.find("\nimport ") == std::string::npos);
        CHECK(script.find("\nexport ") == std::string::npos);
        std::set<std::string> seen;
        std::vector<std::string> to_see{page};
        while (!to_see.empty()) {
            const std::string name = to_see.back();
            to_see.pop_back();
            if (!seen.insert(name).second)
                continue;
            CAPTURE(page, name);
            const std::size_t at = script.find(without_module_words(module_text(name)));
            REQUIRE(at != std::string::npos);
            for (const std::string& used : imports_of(module_text(name))) {
                CHECK(script.find(without_module_words(module_text(used))) < at);
                to_see.push_back(used);
            }
        }
        CHECK(seen.size() >= 6);
    }
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
         {"", "class", "/class.js", "../pages/class.js", "class.js/", "CLASS.JS", "README.md", "link.js"})
        CHECK(page_file(name) == nullptr);
}
