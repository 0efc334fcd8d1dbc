#pragma once
// What the program itself says to a participant, in the participant's language. What the protocol says stands
// in the protocol.

#include <fmt/format.h>

#include <map>
#include <string>
#include <vector>

namespace isoseam {

// One language: runner/phrases/<code>.yaml holds a text for every id, a language's own name under `name`.
class Phrases {
  public:
    // The phrases that come with the program, or those of the folder that the environment variable
    // ISOSEAM_PHRASES names. `language` is a code such as "en" or "de". InputError: no such file (names those
    // that there are), an id missing, unknown or empty, at its line.
    static Phrases read(const std::string& language);

    const std::string& language() const { return language_; }
    // The text of a known id (checked).
    const std::string& operator()(const std::string& id) const;
    // The same with each {} filled in.
    template <class... Values>
    std::string filled(const std::string& id, const Values&... values) const {
        return fmt::format(fmt::runtime((*this)(id)), values...);
    }

    // Every id that a file must have.
    static const std::vector<std::string>& ids();

  private:
    Phrases() = default;
    std::string language_;
    std::map<std::string, std::string> texts_;
};

// Codes of the languages that there are files for, sorted.
std::vector<std::string> phrase_languages();

}  // namespace isoseam
