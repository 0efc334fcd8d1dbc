#pragma once
// The parts of the protocol reader, one for each section of the file. Each part notes what is wrong, with its
// place in the file, and goes on reading.

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/yaml_reader.h"
#include "protocols/language/protocol.h"

namespace isoseam {

// Reads lights in the words of colorimetry/light.h, checks that the lights and files they refer to exist, and
// keeps in the protocol where each stands and what its files hold.
class LightReader {
  public:
    // `lights` is the section that gives lights their names. It may be missing. `files` holds the texts of
    // spectrum files by their paths as written. If it is null, the files themselves are read.
    LightReader(const YamlNode& lights, Protocol& protocol, FaultList& faults,
                const std::map<std::string, std::string>* files = nullptr);

    std::optional<LightSpec> read(const YamlNode& node);
    void read_named_lights();

  private:
    void check_names(const LightSpec& spec, const YamlNode& node) const;
    void read_files(const LightSpec& spec, const YamlNode& node);
    void check_cycles() const;

    YamlNode lights_;
    std::vector<std::string> names_;
    Protocol* protocol_;
    FaultList* faults_;
    const std::map<std::string, std::string>* files_;
};

// Reads what participants will read: one text, or a map with one text for each of the protocol's languages.
class TextReader {
  public:
    // Reads the list of languages into the protocol. The list may be missing.
    TextReader(const YamlNode& languages, Protocol& protocol);

    Words words(const YamlNode& node) const;
    Paragraphs paragraphs(const YamlNode& node) const;  // One paragraph, or a list of them.
    std::vector<InstructionPage> pages(const YamlNode& node) const;

  private:
    template <class Read>
    auto by_language(const YamlNode& node, const Read& read) const;

    std::vector<std::string> languages_;
    bool known_ = true;  // Whether the list of languages has no fault.
};

using HalfNames = std::array<std::string, 2>;

// What the parts of the reader share.
struct ProtocolReading {
    Protocol& protocol;
    FaultList& faults;
    LightReader& lights;
    const TextReader& texts;
    // The names of the halves, if there are any and the split could be read.
    std::optional<HalfNames> halves{};
    // The key at which a block last named the half that is adjusted or that has the target. "" before that.
    std::string half_key{};
};

// ---- Parts of the whole protocol ----
struct FileLanguage {
    const char* key;   // "isoseam_protocol"
    const char* name;  // "the protocol language"
    const char* file;  // "protocol"
    int version;
};
// Throws at once where the file is not in this version of the language, since nothing else of it can be judged.
void check_version(const YamlNode& root, const FileLanguage& language, const FaultList& faults);
void read_observer(const YamlNode& node, Protocol& protocol);
// The names of the halves, if there are any and the split could be read.
std::optional<HalfNames> read_field(const YamlNode& node, Protocol& protocol, LightReader& lights);
void read_rig(const YamlNode& node, const std::optional<HalfNames>& halves, Protocol& protocol);
// The field must have been read before.
void read_flicker(const YamlNode& node, ProtocolReading& reading);
void read_adaptation(const YamlNode& node, Protocol& protocol, LightReader& lights);
// Reads consent, exclusions and questions.
void read_people(const YamlNode& root, ProtocolReading& reading);

// ---- Blocks: the one at the top of the file, or the list ----
void read_blocks(const YamlNode& root, ProtocolReading& reading);
// Reads the plan into the block and returns the axes.
std::vector<AdjustmentAxis> read_adjustment(const YamlNode& node, ProtocolReading& reading, Block& block);
std::vector<AdjustmentAxis> read_flicker_null(const YamlNode& node, ProtocolReading& reading, Block& block);
// Reads the half that is adjusted or that has the target. It is the same in all blocks.
void read_half(const YamlNode& node, ProtocolReading& reading);
std::optional<AdjustmentSpace> read_space(const YamlNode& node);
// Reads axes without step sizes: one name or a list of up to three.
std::vector<AdjustmentAxis> read_directions(const YamlNode& node, AdjustmentSpace space);

// What the conditions of a block are measured along. The block says it for all its conditions. In a task each
// condition may say it for itself.
struct BlockAxes {
    std::vector<AdjustmentAxis> axes;
    std::string key;                       // The key of a task's `along`.
    std::optional<AdjustmentSpace> space;  // It has no value where it could not be read.
    bool in_conditions = false;            // Whether each condition says it for itself.
};
void read_conditions(const YamlNode& node, ProtocolReading& reading, int block, const BlockAxes& axes);

// A task is read in two parts, because the units of its levels depend on what its conditions are measured
// along.
BlockAxes read_task_directions(const YamlNode& node, ProtocolReading& reading, Block& block);
void read_task(const YamlNode& node, ProtocolReading& reading, int block);

// ---- Levels ----
// The unit of levels on each dimension: plain numbers, or %.
struct LevelForm {
    std::vector<bool> plain;
    int dimensions() const { return static_cast<int>(plain.size()); }
};
std::optional<Level> read_level(const YamlNode& node, const LevelForm& form);
AskedLevel asked_at(const YamlNode& node, Level level);
// Reads levels, and keeps the path of each item.
std::vector<AskedLevel> read_levels(const YamlNode& node, const LevelForm& form);
// Reads values that are written one by one, or evenly spaced values: {from: , to: , count: , spacing: log}.
// `unit` has no value for plain numbers.
std::vector<double> read_grid(const YamlNode& node, std::optional<Dimension> unit);
// Each of these reads the procedure that drives the levels of a task, and the levels that it can ask for.
void read_staircase(const YamlNode& node, const LevelForm& form, TaskPlan& task);
void read_constant_stimuli(const YamlNode& node, const LevelForm& form, TaskPlan& task);
void read_bayesian(const YamlNode& node, const LevelForm& form, TaskPlan& task);

// The keys of the procedures that can drive the levels of a task.
inline const std::vector<std::string> kLevelSources{"staircase", "constant_stimuli", "bayesian"};
// Both functions note what the procedures find wrong with a task that was read without a fault of form. The
// first looks at what drives the levels, the second at the rest of the task.
void note_faults_of_source(const YamlNode& task, const TaskPlan& plan, const LevelForm& form);
void note_faults_of_rest(const YamlNode& task, const TaskPlan& plan, const LevelForm& form,
                         bool source_is_sound);

// ---- Small parts ----
// Reads a text that is not blank.
std::optional<std::string> read_words(const YamlNode& node);
// The first reads a quantity that is 0 or above, the second one that is above 0.
std::optional<double> read_not_negative(const YamlNode& node, Dimension dimension);
std::optional<double> read_positive(const YamlNode& node, Dimension dimension);
// Notes a fault if there is such a key.
void refuse(const YamlNode& node, std::string found, std::string remedy);
// Keeps the place of this node in the file, for faults that are found later.
void keep_place(const YamlNode& node, Protocol& protocol);
// Whether the word is "left", "right", "upper" or "lower".
bool is_half_name(const std::string& word);
// Whether the name is a letter that is followed by nothing but letters, digits, '_' and '-'.
bool is_plain_name(const std::string& name);

}  // namespace isoseam
