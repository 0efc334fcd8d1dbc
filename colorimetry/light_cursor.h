#pragma once
// Moves through the text of a light: words, numbers, quantities and file names, with the column of what is
// wrong.

#include <string>
#include <string_view>

#include "base/quantity.h"

namespace isoseam {

// Columns of faults count from 1 in the text. A function moves past what it reads and past the blanks before
// it.
class LightCursor {
  public:
    explicit LightCursor(std::string_view text) : text_(text) {}

    bool at_end() const { return begin_of_next() == text_.size(); }
    char peek() const;                  // next character that is not blank; '\0' at the end
    void skip_character();              // that character
    std::size_t begin_of_next() const;  // its offset
    bool next_is_word(std::string_view wanted) const { return word_ahead() == wanted; }
    bool next_is_number() const;
    std::string next_chunk() const;         // for messages: up to the next blank or bracket
    std::string unit_after_number() const;  // "" if no number comes next, or no unit after it

    std::string word(const std::string& remedy);  // a letter, then letters, digits, '_' and '-'
    double number(const std::string& what);
    double quantity(Dimension dimension);
    double percent();    // as written: 5 % is 5
    std::string path();  // up to a blank or bracket, or in quotes

    [[noreturn]] void refuse(std::string found, std::string remedy) const;  // at what comes next
    [[noreturn]] static void refuse_at(std::size_t offset, std::string found, std::string remedy);

  private:
    std::string_view word_ahead() const;
    std::size_t end_of_number() const;  // begin_of_next() if no number comes next
    std::size_t end_of_quantity() const;

    std::string_view text_;
    std::size_t position_ = 0;
};

bool is_light_letter(char c);
bool is_light_name_character(char c);

}  // namespace isoseam
