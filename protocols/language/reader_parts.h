#pragma once
// The parts of the protocol reader, one per section of the file. Each notes what is wrong at its place and
// goes on.

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
    // `lights` is the section that gives lights their names; it may be missing.
    // `files`: texts of spectrum files by path as written; null: they are read.
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

// Reads what participants read: one text, or a map with one for each of the protocol's languages.
class TextReader {
  public:
    // Reads the list of languages into the protocol; it may be missing.
    TextReader(const YamlNode& languages, Protocol& protocol);

    Words words(const YamlNode& node) const;
    Paragraphs paragraphs(const YamlNode& node) const;  // one or a list of them
    std::vector<InstructionPage> pages(const YamlNode& node) const;

  private:
    template <class Read>
    auto by_language(const YamlNode& node, const Read& read) const;

    std::vector<std::string> languages_;
    bool known_ = true;  // the list itself has no fault
};

using HalfNames = std::array<std::string, 2>;

// What the parts share.
struct ProtocolReading {
    Protocol& protocol;
    FaultList& faults;
    LightReader& lights;
    const TextReader& texts;
    std::optional<HalfNames> halves{};  // their names, if there are any and the split could be read
    std::string half_key{};  // where a block names the half of the target or of adjustment; "" before
};

// ---- Parts of the whole protocol ----
void read_observer(const YamlNode& node, Protocol& protocol);
// The names of the halves, if there are any and the split could be read.
std::optional<HalfNames> read_field(const YamlNode& node, Protocol& protocol, LightReader& lights);
void read_rig(const YamlNode& node, const std::optional<HalfNames>& halves, Protocol& protocol);
void read_flicker(const YamlNode& node, ProtocolReading& reading);  // after the field
void read_adaptation(const YamlNode& node, Protocol& protocol, LightReader& lights);
void read_people(const YamlNode& root, ProtocolReading& reading);  // consent, exclusions, questions

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

// What the conditions of a block are measured along: what the block says, or, of a task, each for itself.
struct BlockAxes {
    std::vector<AdjustmentAxis> axes;
    std::string key;                       // of a task's `along`
    std::optional<AdjustmentSpace> space;  // none: it could not be read
    bool in_conditions = false;            // each condition says
};
void read_conditions(const YamlNode& node, ProtocolReading& reading, int block, const BlockAxes& axes);

// A task is read in two parts, because the units of its levels depend on what its conditions are measured
// along.
BlockAxes read_task_directions(const YamlNode& node, ProtocolReading& reading, Block& block);
void read_task(const YamlNode& node, ProtocolReading& reading, int block);

// ---- Levels ----
// The unit of levels, by dimension: plain numbers, or %.
struct LevelForm {
    std::vector<bool> plain;
    int dimensions() const { return static_cast<int>(plain.size()); }
};
std::optional<Level> read_level(const YamlNode& node, const LevelForm& form);
AskedLevel asked_at(const YamlNode& node, Level level);
// Levels with the paths of their items.
std::vector<AskedLevel> read_levels(const YamlNode& node, const LevelForm& form);
// One value, or evenly spaced ones: {from: , to: , count: , spacing: log}. `unit`: none for plain numbers.
std::vector<double> read_grid(const YamlNode& node, std::optional<Dimension> unit);
// Staircase, constant stimuli or Bayesian procedure of a task, and the levels that it can ask for.
void read_staircase(const YamlNode& node, const LevelForm& form, TaskPlan& task);
void read_constant_stimuli(const YamlNode& node, const LevelForm& form, TaskPlan& task);
void read_bayesian(const YamlNode& node, const LevelForm& form, TaskPlan& task);

// Note what the procedures find wrong with a task that was read without a fault of form. The first looks at
// what drives the levels, the second at the rest of the task.
inline const std::vector<std::string> kLevelSources{"staircase", "constant_stimuli", "bayesian"};
void note_faults_of_source(const YamlNode& task, const TaskPlan& plan, const LevelForm& form);
void note_faults_of_rest(const YamlNode& task, const TaskPlan& plan, const LevelForm& form,
                         bool source_is_sound);

// ---- Small parts ----
// A text that is not blank.
std::optional<std::string> read_words(const YamlNode& node);
// A quantity that is not below 0, or above 0.
std::optional<double> read_not_negative(const YamlNode& node, Dimension dimension);
std::optional<double> read_positive(const YamlNode& node, Dimension dimension);
// Notes a fault if there is such a key.
void refuse(const YamlNode& node, std::string found, std::string remedy);
// Keeps where it stands, for what is found wrong later.
void keep_place(const YamlNode& node, Protocol& protocol);
// left, right, upper or lower.
bool is_half_name(const std::string& word);
// A letter, then letters, digits, '_' and '-'.
bool is_plain_name(const std::string& name);

}  // namespace isoseam
