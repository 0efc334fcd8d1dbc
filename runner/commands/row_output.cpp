#include "runner/commands/row_output.h"

#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <nlohmann/json.hpp>
#include <system_error>

#include "base/errors.h"

namespace isoseam {
namespace {

[[noreturn]] void throw_cannot_print() {
    throw MachineError(
        fmt::format("cannot write to standard output ({})", std::generic_category().message(errno)),
        "see that there is space where it goes");
}

}  // namespace

void print_text(std::string_view text) {
    if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size())
        throw_cannot_print();
}

void finish_text() {
    if (std::fflush(stdout) != 0)
        throw_cannot_print();
}

JsonList::JsonList(const std::string& name) {
    print_text(fmt::format("{{\n  {}: [", nlohmann::json(name).dump()));
}

void JsonList::add(std::string_view items) {
    if (items.empty())
        return;
    print_text(empty_ ? "\n" : ",\n");
    empty_ = false;
    print_text(items);
}

void JsonList::end() {
    print_text(empty_ ? "]\n}\n" : "\n  ]\n}\n");
    finish_text();
}

void JsonList::append(std::string& items, const nlohmann::json& item) {
    constexpr std::string_view kDepth = "    ";
    items += items.empty() ? "" : ",\n";
    items += kDepth;
    // The item may quote what a damaged file holds, which need not be UTF-8.
    for (const char c : item.dump(2, ' ', false, nlohmann::json::error_handler_t::replace)) {
        items += c;
        if (c == '\n')
            items += kDepth;
    }
}

}  // namespace isoseam
