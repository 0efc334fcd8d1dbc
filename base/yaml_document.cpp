#include "base/yaml_document.h"

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>

#include <optional>
#include <sstream>

#include "base/errors.h"

namespace isoseam {
namespace {

// The most that a sound text needs is four: '[:,:]' makes two maps of four events in five bytes.
constexpr std::size_t kMostEventsPerByte = 8;

// Looks at what a text holds before a tree is made of it. The parser of yaml-cpp 0.7 makes no progress at a
// comma where a document begins: it finds an empty document there, again and again. So the look ends at a
// document that begins where the one before it began, and after more events than a sound text can hold.
class DocumentWatch : public YAML::EventHandler {
  public:
    DocumentWatch(const std::string& text, const std::string& file)
        : text_(text), file_(file), most_events_(kMostEventsPerByte * (text.size() + 1)) {}

    int count() const { return count_; }
    bool first_is_null() const { return first_is_null_; }
    const YAML::Mark& second() const { return second_; }  // of the second document's root

    void OnDocumentStart(const YAML::Mark& mark) override {
        if (begin_ && begin_->pos == mark.pos)
            refuse(mark);
        begin_ = mark;
        ++count_;
        awaits_root_ = true;
    }
    void OnDocumentEnd() override {}
    void OnNull(const YAML::Mark& mark, YAML::anchor_t) override { note(mark, true); }
    void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override { note(mark, false); }
    void OnScalar(const YAML::Mark& mark, const std::string&, YAML::anchor_t, const std::string&) override {
        note(mark, false);
    }
    void OnSequenceStart(const YAML::Mark& mark, const std::string&, YAML::anchor_t,
                         YAML::EmitterStyle::value) override {
        note(mark, false);
    }
    void OnSequenceEnd() override {}
    void OnMapStart(const YAML::Mark& mark, const std::string&, YAML::anchor_t,
                    YAML::EmitterStyle::value) override {
        note(mark, false);
    }
    void OnMapEnd() override {}

  private:
    void note(const YAML::Mark& mark, bool is_null) {
        if (++events_ > most_events_)
            refuse(mark);
        if (!awaits_root_)
            return;
        awaits_root_ = false;
        if (count_ == 1)
            first_is_null_ = is_null;
        if (count_ == 2)
            second_ = mark;
    }

    [[noreturn]] void refuse(const YAML::Mark& mark) const {
        const int line = mark.line + 1;
        const int column = mark.column + 1;
        const bool comma = text_from(text_, line, column).substr(0, 1) == ",";
        throw InputError(
            Fault{file_, line, column, "",
                  comma ? "not valid YAML: a comma where a document would begin"
                        : "not valid YAML: the text does not go on from here",
                  "give a YAML file of 'key: value' lines: a table of values with commas between "
                  "them is none"});
    }

    const std::string& text_;
    const std::string& file_;
    std::size_t most_events_;
    std::size_t events_ = 0;
    int count_ = 0;
    bool awaits_root_ = false;
    bool first_is_null_ = false;
    std::optional<YAML::Mark> begin_;  // of the document before
    YAML::Mark second_;
};

// The library's own exceptions pass through.
DocumentWatch watched(const std::string& text, const std::string& file) {
    DocumentWatch watch(text, file);
    std::istringstream stream(text);
    YAML::Parser parser(stream);
    while (parser.HandleNextDocument(watch)) {
    }
    return watch;
}

YAML::Node parsed_document(const std::string& text, const std::string& file) {
    const DocumentWatch watch = watched(text, file);
    if (watch.count() == 0 || (watch.count() == 1 && watch.first_is_null()))
        throw InputError(Fault{file, 1, 1, "", "the file is empty", "write 'key: value' lines into it"});
    if (watch.count() > 1) {
        throw InputError(Fault{file, watch.second().line + 1, watch.second().column + 1, "",
                               fmt::format("{} documents in one file", watch.count()),
                               "keep one document: take the lines '---' between them away"});
    }
    return YAML::Load(text);
}

}  // namespace

YAML::Node only_document(const std::string& text, const std::string& file) {
    try {
        return parsed_document(text, file);
    } catch (const YAML::Exception& error) {
        const int line = error.mark.line + 1;
        const int column = error.mark.column + 1;
        // Within braces and brackets yaml-cpp takes the question mark at the end of a text for one of its
        // own.
        const bool question = text_from(text, line, column).substr(0, 1) == "?";
        throw InputError(Fault{file, line, column, "", "not valid YAML: " + error.msg,
                               question
                                   ? "put quotation marks round the text that ends in a question mark"
                                   : "mend this place or what stands just before it: 'key: value' lines, "
                                     "nested by spaces (no tabs), brackets and quotation marks closed"});
    }
}

std::string_view text_from(const std::string& text, int line, int column) {
    std::size_t start = 0;
    for (int i = 1; i < line; ++i) {
        start = text.find('\n', start);
        if (start == std::string::npos)
            return {};
        ++start;
    }
    start += static_cast<std::size_t>(column) - 1;
    return start <= text.size() ? std::string_view(text).substr(start) : std::string_view{};
}

}  // namespace isoseam
