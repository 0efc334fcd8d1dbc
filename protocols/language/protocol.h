#pragma once
// What is asked of the observer: a protocol file, read and checked. README.md describes the language.
//
//     const Protocol protocol = read_protocol("study.yaml");    // InputError with all faults of the file
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/errors.h"
#include "colorimetry/light.h"
#include "colorimetry/observer.h"
#include "protocols/language/block.h"
#include "protocols/language/condition.h"
#include "protocols/language/file_place.h"
#include "protocols/language/flicker_plan.h"
#include "protocols/language/participant_words.h"
#include "protocols/language/rig.h"
#include "stimuli/field.h"

namespace isoseam {

inline constexpr int kProtocolVersion = 1;

struct ProtocolLight {
    LightSpec spec;
    int line = 0;
    int column = 0;
};

struct Protocol {
    std::string title;
    std::string about;
    // The codes of the languages, the usual one first. Empty: all texts stand in one language.
    std::vector<std::string> languages;
    std::optional<Consent> consent;
    std::vector<Words> exclusions;  // Whoever cannot say no to one of these questions leaves.
    std::vector<ParticipantQuestion> questions_before;
    std::vector<ParticipantQuestion> questions_after;
    ObserverParameters observer;
    bool age_from_session = false;  // Whether the observer's age is the participant's: see set_age().
    Rig rig;
    std::map<std::string, ProtocolLight> lights;
    FieldGeometry field;
    LightSpec surround = parse_light("black");  // The light around the field.
    std::optional<LightSpec> ring;              // The light of the ring around the field, if there is one.
    std::optional<LightSpec> fixation;          // The light of the mark, if there is one.
    std::optional<LightSpec> adaptation;        // The full-field light before matching.
    double adaptation_s = 0.0;
    double top_up_s = 0.0;               // The adaptation before each further setting. 0: none.
    std::vector<InstructionPage> pages;  // Shown after consent and questions, before the first block.
    Words closing;                       // Shown after the last trial.
    std::optional<FlickerPlan> flicker;
    Half adjusted = Half::second;  // In a field that is not split into halves, the second light.
    std::vector<Block> blocks;     // At least one.
    TrialOrder block_order = TrialOrder::listed;
    std::vector<Condition> conditions;  // Those of all blocks, block by block. Each name is used once.
    std::optional<std::uint64_t> seed;  // If none, the command line gives the seed, or it is drawn.
    std::string file;                   // The file it came from.
    std::string text;                   // The file's bytes.
    // The text of each spectrum file that lights read, by its path as written.
    std::map<std::string, std::string> spectrum_files;
    // Where each thing stands, by key path: "field.surround", "adjustment.axes.L+M",
    // "conditions[1].reference".
    std::map<std::string, Place> places;

    const Block& block(int index) const { return blocks.at(static_cast<std::size_t>(index)); }
    const Condition& condition(int index) const { return conditions.at(static_cast<std::size_t>(index)); }
    // `key` is a path of places. The line is 0 where the reader kept no such place.
    Place place_of(const std::string& key) const;
    Fault fault_at(const std::string& key, std::string found, std::string remedy) const;
};

// Reads a protocol and checks its form. One InputError has all faults, each at its line, column and key.
Protocol read_protocol(const std::string& path);
Protocol parse_protocol(const std::string& text, const std::string& file);
// Reads a protocol from what a record keeps. Spectra come from `spectrum_files`, by path as written, and no
// file is read.
Protocol parse_protocol(const std::string& text, const std::string& file,
                        const std::map<std::string, std::string>& spectrum_files);

// Sets the observer's age to that of the participant, 20 to 80 years. InputError (key "--age") for any other
// age, or where the protocol names an age of its own.
void set_age(Protocol& protocol, double age_years);

// The calibration file of each source: the command line's or, without that, the protocol's. InputError when
// one is missing, or when the command line names a source that the rig does not have.
std::vector<std::string> calibration_paths(const Protocol& protocol,
                                           const std::map<std::string, std::string>& from_command_line);

}  // namespace isoseam
