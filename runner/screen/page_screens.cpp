#include "runner/screen/page_screens.h"

#include <fmt/format.h>

#include <map>

#include "base/errors.h"

namespace isoseam {
namespace {

// Takes the paragraphs from `from` on, as many as fit and at least one. `from` moves behind them.
Page next_screen(const Page& whole, const std::string& read_on_foot, const PageFits& fits,
                 std::size_t& from) {
    const std::size_t count = whole.paragraphs.size();
    const auto with = [&](std::size_t to) {
        Page page = whole;
        page.paragraphs = {whole.paragraphs.begin() + static_cast<std::ptrdiff_t>(from),
                           whole.paragraphs.begin() + static_cast<std::ptrdiff_t>(to)};
        if (to < count) {
            page.foot = read_on_foot;
            page.keys.clear();
            page.choices.clear();
            page.entry.reset();
        }
        return page;
    };
    if (fits(with(count))) {
        Page last = with(count);
        from = count;
        return last;
    }
    std::size_t to = from + 1;
    while (to + 1 < count && fits(with(to + 1)))
        ++to;
    Page page = with(to);
    from = to;
    return page;
}

}  // namespace

double parse_text_size(const std::string& word) {
    static const std::map<std::string, double> sizes{{"normal", 1.0}, {"large", 1.4}, {"largest", 1.8}};
    const auto found = sizes.find(word);
    if (found == sizes.end()) {
        throw InputError(Fault{"", 0, 0, "--text-size", fmt::format("'{}' is no size of text", word),
                               "write one of: normal, large, largest"});
    }
    return found->second;
}

std::vector<Page> page_screens(const Instruction& instruction, const Page& plain, bool entry,
                               const std::string& read_on_foot, const PageFits& fits) {
    Page whole = plain;
    whole.heading = instruction.heading;
    whole.paragraphs = instruction.paragraphs;
    whole.foot = instruction.foot;
    for (const KeyHint& hint : instruction.keys)
        whole.keys.push_back({hint.keys, hint.meaning});
    whole.choices = instruction.choices;
    whole.chosen = instruction.chosen;
    whole.picture = instruction.picture;
    if (entry || !instruction.entry.empty())
        whole.entry = instruction.entry;
    if (whole.type_size <= 1.0 || whole.paragraphs.size() < 2 || fits(whole))
        return {whole};
    std::vector<Page> screens;
    for (std::size_t from = 0; from < whole.paragraphs.size();)
        screens.push_back(next_screen(whole, read_on_foot, fits, from));
    return screens;
}

}  // namespace isoseam
