#include "analysis/pages/pdf_structure.h"

// clang 14 does not compile qpdf's header of JSON, which nothing here uses: it is named and left out.
#define JSON_HH
class JSON;
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFWriter.hh>

#include "analysis/figures/figure_text.h"
#include "base/errors.h"

namespace isoseam {
namespace {

// Keys and names: ISO 32000-1, 14.7 to 14.9.
class Structure {
  public:
    explicit Structure(std::vector<std::string> descriptions) : descriptions_(std::move(descriptions)) {}

    void complete(QPDFObjectHandle element) {
        if (!element.isDictionary())
            return;
        const std::string kind = kind_of(element);
        if (kind == "/Figure") {
            ISOSEAM_CHECK(next_ < descriptions_.size());
            element.replaceKey("/Alt", QPDFObjectHandle::newUnicodeString(descriptions_[next_++]));
        } else if (kind == "/TH") {
            element.replaceKey("/A", QPDFObjectHandle::parse(in_first_row_ ? "<</O /Table /Scope /Column>>"
                                                                           : "<</O /Table /Scope /Row>>"));
        } else if (kind == "/Table") {
            complete_table(element);
            return;
        }
        for (QPDFObjectHandle& child : children(element))
            complete(child);
    }

    bool told_all() const { return next_ == descriptions_.size(); }

  private:
    // Gives "" for an element that does not tell its kind.
    static std::string kind_of(QPDFObjectHandle element) {
        QPDFObjectHandle kind = element.getKey("/S");
        return kind.isName() ? kind.getName() : "";
    }

    static std::vector<QPDFObjectHandle> children(QPDFObjectHandle element) {
        QPDFObjectHandle kids = element.getKey("/K");
        if (kids.isArray())
            return kids.getArrayAsVector();
        return {kids};
    }

    void complete_table(const QPDFObjectHandle& table) {
        in_first_row_ = true;
        for (QPDFObjectHandle& row : children(table)) {
            complete(row);
            in_first_row_ &= !row.isDictionary() || kind_of(row) != "/TR";
        }
    }

    std::vector<std::string> descriptions_;
    std::size_t next_ = 0;
    bool in_first_row_ = false;
};

std::vector<std::string> descriptions_of(const PageDocument& document) {
    std::vector<std::string> descriptions;
    for_each_block(document, [&](const PageBlock& block) {
        if (const auto* figure = std::get_if<PageFigure>(&block))
            descriptions.push_back(clean_text(figure->figure.title + ". " + figure->figure.description));
    });
    return descriptions;
}

// "2026-11-25T16:03:12.345Z" -> "D:20261125160312Z"
std::string pdf_date(const std::string& dated_utc) {
    constexpr std::size_t kToSeconds = 19;
    std::string date = "D:";
    for (const char letter : dated_utc.substr(0, kToSeconds)) {
        if (letter >= '0' && letter <= '9')
            date += letter;
    }
    return date + "Z";
}

}  // namespace

std::string completed(const std::string& pdf, const PageDocument& document) {
    QPDF file;
    file.processMemoryFile("report", pdf.data(), pdf.size());
    QPDFObjectHandle root = file.getRoot();
    root.replaceKey("/Lang", QPDFObjectHandle::newUnicodeString(document.language));
    root.replaceKey("/ViewerPreferences", QPDFObjectHandle::parse("<</DisplayDocTitle true>>"));
    root.replaceKey("/MarkInfo", QPDFObjectHandle::parse("<</Marked true>>"));
    QPDFObjectHandle information = file.getTrailer().getKey("/Info");
    for (const char* key : {"/CreationDate", "/ModDate"})
        information.replaceKey(key, QPDFObjectHandle::newString(pdf_date(document.dated_utc)));
    Structure structure(descriptions_of(document));
    structure.complete(root.getKey("/StructTreeRoot"));
    ISOSEAM_CHECK(structure.told_all());
    QPDFWriter writer(file);
    writer.setOutputMemory();
    writer.setDeterministicID(true);
    writer.write();
    const std::shared_ptr<Buffer> bytes = writer.getBufferSharedPointer();
    return {reinterpret_cast<const char*>(bytes->getBuffer()), bytes->getSize()};
}

}  // namespace isoseam
