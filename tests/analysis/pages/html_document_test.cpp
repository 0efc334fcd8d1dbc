#include "analysis/pages/html_document.h"

#include <catch2/catch.hpp>
#include <pugixml.hpp>
#include <set>

#include "analysis/figures/gnuplot.h"
#include "support/example_document.h"

using namespace isoseam;

namespace {

std::string page_text(const PageDocument& document) {
    return html_document(document, [](const Figure& figure) { return drawn(figure, PictureFormat::svg); });
}

struct Page {
    explicit Page(const std::string& text) {
        const pugi::xml_parse_result result = document.load_string(text.c_str(), pugi::parse_full);
        INFO(result.description());
        REQUIRE(result);
    }
    std::size_t count(const char* path) const { return document.select_nodes(path).size(); }
    std::vector<std::string> all(const char* path) const {
        std::vector<std::string> found;
        for (const pugi::xpath_node& node : document.select_nodes(path))
            found.emplace_back(node.node().text().get());
        return found;
    }
    pugi::xml_document document;
};

}  // namespace

TEST_CASE("A page has landmarks, one first heading, headings in order, and a way past the contents") {
    const Page page(page_text(test::example_document()));
    CHECK(page.count("/html[@lang = 'en']/body/header/h1") == 1);
    CHECK(page.count("//h1") == 1);
    CHECK(page.all("/html/body/main/section/h2") ==
          std::vector<std::string>{"Read this first", "Numbers", "Drawn"});
    CHECK(page.all("//section/section/h3") == std::vector<std::string>{"Inner part", "Other part"});
    CHECK(page.count("//section[not(@aria-labelledby = *[1]/@id)]") == 0);
    CHECK(page.count("/html/body/a[@class = 'skip'][@href = '#report']") == 1);
    CHECK(page.count("/html/body/main[@id = 'report']") == 1);
    CHECK(page.all("/html/body/nav//li/a") == page.all("/html/body/main/section/h2"));
    CHECK(page.all("/html/body/footer/p") == std::vector<std::string>{"Written by a test."});
    CHECK(page.count("//section[@class = 'warnings']//li") == 2);
}

TEST_CASE("each id of a page is there once, and each reference finds one") {
    const Page page(page_text(test::example_document()));
    std::set<std::string> ids;
    for (const pugi::xpath_node& found : page.document.select_nodes("//@id"))
        CHECK(ids.insert(found.attribute().value()).second);
    for (const pugi::xpath_node& found : page.document.select_nodes("//@href | //nav/@aria-labelledby")) {
        std::string value = found.attribute().value();
        if (value.starts_with("#"))
            value.erase(0, 1);
        CAPTURE(value);
        CHECK(ids.count(value) == 1);
    }
}

TEST_CASE("tables have captions, scopes and a name where they scroll, and figures have words") {
    const Page page(page_text(test::example_document()));
    CHECK(page.count("//table[caption][thead/tr/th[@scope = 'col']]") == page.count("//table"));
    CHECK(page.count("//tbody/tr[not(th[@scope = 'row'])]") == 0);
    CHECK(page.count("//div[@role = 'region'][@tabindex = '0'][@aria-labelledby = table/caption/@id]") == 2);
    CHECK(page.count("//figure/svg[@role = 'img'][title != ''][desc != '']") == 2);
    CHECK(page.all("//td[@class = 'number']") ==
          std::vector<std::string>{"1001", "1002", "1003", "1001", "1002"});
}

TEST_CASE("text stands letter by letter, and nothing comes from outside") {
    const std::string text = page_text(test::example_document());
    const Page page(text);
    CHECK(page.all("//h1") == std::vector<std::string>{"A report of <b>nothing</b> & more"});
    CHECK(page.count("//b") == 0);
    CHECK(page.all("//section/p").front() == "1 < 2 & 3 > 2.");
    for (const char* outside : {"http", "src=", "url(http", "@import", "<script", "<link", "xlink"}) {
        CAPTURE(outside);
        CHECK(text.find(outside) == std::string::npos);
    }
    CHECK(page_text(test::example_document()) == text);
}
