#pragma once
// Writes much text to standard output, piece by piece, so that memory does not grow with it.

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>

namespace isoseam {

// Both functions throw MachineError when standard output cannot take the text (for example because the disk
// is full).
void print_text(std::string_view text);
void finish_text();

// Prints {"name": [item, item ...]}, byte for byte as print_json() would print the whole.
class JsonList {
  public:
    explicit JsonList(const std::string& name);
    // Adds one or more items, as append() made them; "" adds nothing.
    void add(std::string_view items);
    void end();

    // Adds one more item to a text of items.
    static void append(std::string& items, const nlohmann::json& item);

  private:
    bool empty_ = true;
};

}  // namespace isoseam
