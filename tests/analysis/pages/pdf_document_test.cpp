#include "analysis/pages/pdf_document.h"

#include <catch2/catch.hpp>
// clang 14 does not compile qpdf's header of JSON, which nothing here uses: it is named and left out.
#define JSON_HH
class JSON;
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFOutlineDocumentHelper.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>

#include "analysis/figures/gnuplot.h"
#include "support/example_document.h"
#include "support/file_bytes.h"
#include "support/run_program.h"
#include "support/temporary_folder.h"

using namespace isoseam;

namespace {

std::string pdf_of(const PageDocument& document) {
    return pdf_document(document,
                        remembered([](const Figure& figure) { return drawn(figure, PictureFormat::svg); }));
}

// Its words, page by page (Poppler's pdftotext, a program of its own); empty where that is missing.
std::vector<std::string> pages_of(const std::string& pdf) {
    const test::TemporaryFolder folder;
    test::write_file(folder.file("report.pdf"), pdf);
    const test::ProgramResult result =
        test::run_program({"pdftotext", "-layout", folder.file("report.pdf"), "-"});
    if (result.status == 127) {
        WARN("pdftotext is missing (Debian: poppler-utils): the words of the PDF are not looked at");
        return {};
    }
    REQUIRE(result.status == 0);
    std::vector<std::string> pages;
    std::size_t from = 0;
    for (std::size_t end; (end = result.out.find('\f', from)) != std::string::npos; from = end + 1)
        pages.push_back(result.out.substr(from, end - from));
    return pages;
}

bool holds(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

struct Pdf {
    explicit Pdf(const std::string& bytes) : bytes_(bytes) {
        file.processMemoryFile("test", bytes_.data(), bytes_.size());
        walk(file.getRoot().getKey("/StructTreeRoot"));
    }
    // Elements of the structure of this kind, in order.
    std::vector<QPDFObjectHandle> elements(const std::string& kind) const {
        std::vector<QPDFObjectHandle> found;
        for (const QPDFObjectHandle& element : elements_) {
            if (QPDFObjectHandle(element).getKey("/S").getName() == "/" + kind)
                found.push_back(element);
        }
        return found;
    }
    QPDF file;

  private:
    void walk(QPDFObjectHandle element) {
        if (!element.isDictionary())
            return;
        if (element.getKey("/S").isName())
            elements_.push_back(element);
        QPDFObjectHandle kids = element.getKey("/K");
        if (!kids.isArray())
            return walk(kids);
        for (QPDFObjectHandle& kid : kids.getArrayAsVector())
            walk(kid);
    }
    std::string bytes_;
    std::vector<QPDFObjectHandle> elements_;
};

std::vector<std::string> titles(const std::vector<QPDFOutlineObjectHelper>& outline) {
    std::vector<std::string> found;
    for (QPDFOutlineObjectHelper entry : outline) {
        found.push_back(entry.getTitle());
        for (const std::string& inner : titles(entry.getKids()))
            found.push_back(". " + inner);
    }
    return found;
}

}  // namespace

TEST_CASE("A PDF is A4 and tells title, language, date, outline and structure") {
    Pdf pdf(pdf_of(test::example_document()));
    QPDFObjectHandle root = pdf.file.getRoot();
    CHECK(root.getKey("/Lang").getUTF8Value() == "en");
    CHECK(root.getKey("/ViewerPreferences").getKey("/DisplayDocTitle").getBoolValue());
    CHECK(root.getKey("/MarkInfo").getKey("/Marked").getBoolValue());
    QPDFObjectHandle info = pdf.file.getTrailer().getKey("/Info");
    CHECK(info.getKey("/Title").getUTF8Value() == "A report of <b>nothing</b> & more");
    CHECK(info.getKey("/Creator").getUTF8Value() == "a test 1.0");
    CHECK(info.getKey("/CreationDate").getUTF8Value().starts_with("D:20261125160312"));
    CHECK(info.getKey("/ModDate").getUTF8Value().starts_with("D:20261125160312"));
    const auto pages = QPDFPageDocumentHelper(pdf.file).getAllPages();
    REQUIRE_FALSE(pages.empty());
    auto box = QPDFPageObjectHelper(pages.front()).getAttribute("/MediaBox", false).getArrayAsRectangle();
    CHECK(box.urx == Approx(595.28).margin(0.01));  // 210 mm by 297 mm (ISO 216)
    CHECK(box.ury == Approx(841.89).margin(0.01));
    CHECK(titles(QPDFOutlineDocumentHelper(pdf.file).getTopLevelOutlines()) ==
          std::vector<std::string>{"Read this first", "Numbers", ". Inner part", ". Other part", "Drawn"});
    CHECK(pdf.elements("H1").size() == 1);
    CHECK(pdf.elements("H2").size() == 3);
    CHECK(pdf.elements("H3").size() == 2);
    CHECK(pdf.elements("LI").size() == 2);
    CHECK(pdf.elements("Table").size() == 2);
    CHECK(pdf.elements("TR").size() == 3 + 1 + 2 + 1);
}

TEST_CASE("A PDF's figures have words, and its header cells say what they head") {
    Pdf pdf(pdf_of(test::example_document()));
    const auto figures = pdf.elements("Figure");
    REQUIRE(figures.size() == 2);
    CHECK(QPDFObjectHandle(figures[0]).getKey("/Alt").getUTF8Value() ==
          "points on a line. Three points, <each> higher than the one before & joined by a line.");
    CHECK(holds(QPDFObjectHandle(figures[1]).getKey("/Alt").getUTF8Value(), "points again"));
    std::string scopes;
    for (QPDFObjectHandle cell : pdf.elements("TH"))
        scopes += cell.getKey("/A").getKey("/Scope").getName().substr(1, 1);
    CHECK(scopes == "CCCRRRCCCRR");
    CHECK(pdf.elements("TD").size() == 2 * 3 + 2 * 2);
}

TEST_CASE("A PDF's words are the document's, and its pages are numbered") {
    const auto pages = pages_of(pdf_of(test::example_document()));
    if (pages.empty())
        return;
    std::string text;
    for (std::size_t i = 0; i < pages.size(); ++i) {
        CHECK(holds(pages[i], "page " + std::to_string(i + 1)));
        text += pages[i];
    }
    for (const char* part :
         {"A report of <b>nothing</b> & more", "Below the title.", "Read this first",
          "The \u201csecond\u201d warning.", "1 < 2 & 3 > 2.", "Mind: a note.", "Table 1. Counts, invented.",
          "1003", "about 3 things", "Inner part", "Figure 2. Another picture.", "Written by a test."}) {
        CAPTURE(part);
        CHECK(holds(text, part));
    }
}

TEST_CASE("A table that goes on over pages repeats its header, loses no row, and no heading ends a page") {
    PageDocument document = test::example_document(200);
    for (int i = 0; i < 40; ++i)
        document.sections.push_back(
            {"Heading" + std::to_string(i), {PageParagraph{"Followed" + std::to_string(i)}}, {}, false});
    const std::string bytes = pdf_of(document);
    Pdf pdf(bytes);
    const auto pages = pages_of(bytes);
    const auto tables = pdf.elements("Table");
    CHECK(tables.size() >= 4);  // one for each page of the long one
    if (pages.empty())
        return;
    std::size_t with_rows = 0;
    std::size_t rows = 0;
    for (const std::string& page : pages) {
        const bool has_rows = page.find("about ") != std::string::npos;
        with_rows += has_rows ? 1 : 0;
        CHECK((!has_rows || holds(page, "in words")));
        for (int i = 1; i <= 200; ++i)
            rows += holds(page, "row" + std::to_string(i) + " ") && i > 2 ? 1 : 0;
        for (int i = 0; i < 40; ++i)
            CHECK(holds(page, "Heading" + std::to_string(i) + "\n") ==
                  holds(page, "Followed" + std::to_string(i) + "\n"));
    }
    CHECK(rows == 198);
    CHECK(with_rows >= 4);
}

TEST_CASE("long paragraphs, words without a blank, and cells taller than others lose nothing in a PDF") {
    PageDocument document;
    document.title = "Long";
    document.dated_utc = "2000-01-01T00:00:00Z";
    std::string words;
    for (int i = 0; i < 3000; ++i)
        words += "w" + std::to_string(i) + "x ";
    const std::string hash(64, 'f');
    document.sections = {
        {"One",
         {PageParagraph{words}, PageTable{"Hashes.", {"a", "b"}, {{"p", hash}, {hash, words}}}},
         {},
         false}};
    const auto pages = pages_of(pdf_of(document));
    if (pages.empty())
        return;
    std::string text;
    for (const std::string& page : pages)
        text += page;
    for (int i = 0; i < 3000; ++i)
        CHECK(holds(text, "w" + std::to_string(i) + "x"));
}

TEST_CASE("the same document gives the same PDF, and another day of the newest session another") {
    const std::string once = pdf_of(test::example_document());
    CHECK(once == pdf_of(test::example_document()));
    PageDocument later = test::example_document();
    later.dated_utc = "2026-11-26T16:03:12Z";
    CHECK(once != pdf_of(later));
}
