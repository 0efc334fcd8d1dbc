#include "runner/commands/window_size.h"

#include <fmt/format.h>

#include <regex>

#include "base/errors.h"

namespace isoseam {

std::pair<int, int> parse_window_size(const std::string& text) {
    static const std::regex form("([1-9][0-9]{1,4})x([1-9][0-9]{1,4})");
    std::smatch parts;
    if (!std::regex_match(text, parts, form)) {
        throw InputError(Fault{"", 0, 0, "--window", fmt::format("'{}' is not a size", text),
                               "write width x height in pixels, e.g. --window 1024x768"});
    }
    return {std::stoi(parts[1]), std::stoi(parts[2])};
}

}  // namespace isoseam
