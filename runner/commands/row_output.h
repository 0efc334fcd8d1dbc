#pragma once
// Much text on standard output, bit by bit, so that memory does not grow with it.

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>

namespace isoseam {

// Both: MachineError when standard output cannot take it (a full disk).
void print_text(std::string_view text);
void finish_text();

// Prints {"name": [item, item ...]}, byte for byte as print_json() would print the whole.
class JsonList {
  public:
    explicit JsonList(const std::string& name);
    // One or more items, by append(); "" adds nothing.
    void add(std::string_view items);
    void end();

    // Adds one more item to a text of them.
    static void append(std::string& items, const nlohmann::json& item);

  private:
    bool empty_ = true;
};

}  // namespace isoseam
