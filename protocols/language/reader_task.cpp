// Tasks: the question, what is shown for it, and what is told of the procedure behind it.

#include <fmt/format.h>

#include <algorithm>

#include "protocols/language/axes.h"
#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

const std::vector<std::string> kTaskKeys{"question",
                                         "half",
                                         "space",
                                         "along",
                                         "wait",
                                         "shown",
                                         "onset",
                                         "between",
                                         "interleaved",
                                         "feedback",
                                         "balanced",
                                         "same_share",
                                         "categories",
                                         "seen_from",
                                         "no_target",
                                         "catch_trials",
                                         "practice",
                                         "staircase",
                                         "constant_stimuli",
                                         "bayesian"};
enum QuestionWord { forced_choice, yes_no, same_different, rating };
constexpr long kMostCount = 10000;

class TaskReader {
  public:
    TaskReader(const YamlNode& node, ProtocolReading& reading, Block& block)
        : node_(node), reading_(reading), plan_(std::get<TaskPlan>(block.plan)) {}

    void read_question();
    void read_times();
    // Reads the levels. It then notes what the procedure itself finds wrong, if all was read without a fault.
    void read_levels(const LevelForm& form);

  private:
    // Whether reading something noted no fault.
    template <class Read>
    bool is_sound(const Read& read) const {
        const std::size_t before = reading_.faults.faults().size();
        read();
        return reading_.faults.faults().size() == before;
    }
    void read_half_of(int question);
    int places() const;
    void check_question(int question) const;
    void refuse_keys_of_other_questions(int question) const;
    void read_rating();
    void read_source(const LevelForm& form);
    void read_catch_trials();
    void read_no_target(const LevelForm& form);
    void read_practice(const LevelForm& form);
    std::optional<int> count(const YamlNode& node, long least) const;
    std::optional<double> share(const YamlNode& node) const;

    YamlNode node_;
    ProtocolReading& reading_;
    TaskPlan& plan_;
    bool sound_ = false;  // Whether the question could be read.
};

std::optional<int> TaskReader::count(const YamlNode& node, long least) const {
    const auto number = node.whole_number(least, kMostCount);
    return number ? std::optional(static_cast<int>(*number)) : std::nullopt;
}

std::optional<double> TaskReader::share(const YamlNode& node) const {
    return node.quantity(Dimension::fraction);
}

int TaskReader::places() const {
    return reading_.protocol.field.parts == FieldParts::quadrants ? kQuadrants : 2;
}

void TaskReader::check_question(int question) const {
    const YamlNode node = node_.find("question");
    const Protocol& protocol = reading_.protocol;
    const FieldParts parts = protocol.field.parts;
    if (protocol.flicker && (question == forced_choice || question == same_different)) {
        node.fault("two lights take turns in the one field, which leaves no second place",
                   "write yes_no or rating, or take flicker away");
        return;
    }
    if (parts == FieldParts::quadrants && question != forced_choice)
        node.fault("quadrants ask which one is odd",
                   "write forced_choice, or give the field halves or a spot");
    if (parts == FieldParts::spot && question == same_different)
        node.fault("a spot has nothing beside it to be the same as",
                   "give the field halves, or write yes_no");
    if (parts == FieldParts::halves && question == forced_choice &&
        protocol.rig.half_source[0] != protocol.rig.half_source[1]) {
        node.fault("the target must be able to stand in either half, but two sources light them",
                   "light both halves with one source, or write yes_no or same_different");
    }
}

void TaskReader::refuse_keys_of_other_questions(int question) const {
    const auto only = [&](const char* key, int of, const char* word) {
        if (question != of)
            refuse(node_.find(key), fmt::format("belongs to the question {}", word), "take it away");
    };
    only("balanced", forced_choice, "forced_choice");
    only("same_share", same_different, "same_different");
    only("categories", rating, "rating");
    only("seen_from", rating, "rating");
}

void TaskReader::read_rating() {
    Rating read;
    read.categories =
        count(node_.at("categories", fmt::format("how many, 2 to {}", kMostCategories)), 1).value_or(2);
    read.seen_from = count(node_.find("seen_from"), 1);
    plan_.spec.question = read;
}

void TaskReader::read_question() {
    const auto question = node_.at("question", "forced_choice, yes_no, same_different or rating")
                              .choice({"forced_choice", "yes_no", "same_different", "rating"});
    if (!question)
        return;
    refuse_keys_of_other_questions(*question);
    check_question(*question);
    read_half_of(*question);
    sound_ = is_sound([&] {
        if (*question == forced_choice)
            plan_.spec.question = ForcedChoice{places(), node_.find("balanced").yes_no().value_or(true)};
        if (*question == yes_no)
            plan_.spec.question = YesNo{};
        if (*question == same_different)
            plan_.spec.question =
                SameDifferent{share(node_.find("same_share")).value_or(SameDifferent{}.same_share)};
        if (*question == rating)
            read_rating();
    });
}

void TaskReader::read_half_of(int question) {
    const YamlNode half = node_.find("half");
    if (question == forced_choice)
        refuse(half, "the target stands in any place in turn", "take half away");
    else if (reading_.protocol.field.parts == FieldParts::halves)
        read_half(node_.at("half", "the half that the target stands in"), reading_);
    else
        refuse(half, "the field has no halves", "take half away");
}

void TaskReader::read_times() {
    plan_.wait_s = read_not_negative(node_.find("wait"), Dimension::duration_s).value_or(0.0);
    const bool intervals = std::holds_alternative<ForcedChoice>(plan_.spec.question) &&
                           reading_.protocol.field.parts == FieldParts::spot;
    const YamlNode shown =
        intervals ? node_.at("shown", "how long each interval lasts, such as 500 ms") : node_.find("shown");
    plan_.shown_s = read_positive(shown, Dimension::duration_s).value_or(0.0);
    const YamlNode onset = node_.find("onset");
    plan_.onset_s = read_not_negative(onset, Dimension::duration_s).value_or(0.0);
    const std::optional<FlickerPlan>& flicker = reading_.protocol.flicker;
    if (flicker && plan_.shown_s > 0.0 && !(2.0 * flicker->onset_s <= plan_.shown_s)) {
        shown.fault(
            fmt::format("the flicker takes {:g} s to set in and as long to go away", flicker->onset_s),
            "show it for twice as long at least, or shorten flicker.onset");
    }
    if (plan_.onset_s > 0.0 && !shown.exists()) {
        onset.fault("the target stays until the answer, so it has no end to fall at",
                    "say how long it is `shown`, or take onset away");
    } else if (plan_.shown_s > 0.0 && !(2.0 * plan_.onset_s <= plan_.shown_s)) {
        onset.fault("rising and falling take longer than the target is shown",
                    "make onset at most half of `shown`");
    }
    const YamlNode between = intervals
                                 ? node_.at("between", "the time between the two intervals, such as 400 ms")
                                 : node_.find("between");
    if (!intervals)
        refuse(between, "there are no two intervals",
               "take it away: a forced choice with a spot has intervals");
    plan_.between_s = read_not_negative(between, Dimension::duration_s).value_or(0.0);
    plan_.interleaved = node_.find("interleaved").yes_no().value_or(false);
    plan_.spec.feedback = node_.find("feedback").yes_no().value_or(false);
}

void TaskReader::read_source(const LevelForm& form) {
    std::vector<std::string> found;
    for (const std::string& source : kLevelSources) {
        if (node_.find(source).exists())
            found.push_back(source);
    }
    if (found.empty()) {
        node_.fault("nothing drives the level", "add staircase, constant_stimuli or bayesian");
        return;
    }
    for (std::size_t i = 1; i < found.size(); ++i)
        node_.find(found[i]).fault(fmt::format("stands beside {}", found[0]), "keep one of them");
    const YamlNode source = node_.find(found[0]);
    if (found[0] == "staircase")
        read_staircase(source, form, plan_);
    else if (found[0] == "constant_stimuli")
        read_constant_stimuli(source, form, plan_);
    else
        read_bayesian(source, form, plan_);
}

void TaskReader::read_catch_trials() {
    const YamlNode node = node_.find("catch_trials");
    if (!node.exists())
        return;
    node.only_keys({"share", "every"});
    CatchTrials& catch_trials = plan_.spec.catch_trials;
    catch_trials.share = share(node.find("share"));
    catch_trials.every = count(node.find("every"), 1);
    if (node.is_map() && !node.find("share").exists() && !node.find("every").exists())
        node.fault("neither a share nor a count", "write {share: 10 %} or {every: 10}");
}

void TaskReader::read_no_target(const LevelForm& form) {
    const YamlNode node = node_.find("no_target");
    plan_.spec.no_target.assign(form.plain.size(), 0.0);
    const bool used = node_.find("catch_trials").exists() || node_.find("same_share").exists() ||
                      std::holds_alternative<SameDifferent>(plan_.spec.question);
    if (!used)
        refuse(node, "every trial has a target", "take it away, or write catch_trials");
    if (const auto level = read_level(node, form)) {
        plan_.spec.no_target = *level;
        plan_.asked.push_back(asked_at(node, *level));
    }
}

void TaskReader::read_practice(const LevelForm& form) {
    const YamlNode node = node_.find("practice");
    if (!node.exists())
        return;
    node.only_keys({"levels", "right", "of", "most", "feedback"});
    Practice practice;
    const std::vector<AskedLevel> levels =
        isoseam::read_levels(node.at("levels", "easy ones, such as [20 %]"), form);
    for (const AskedLevel& level : levels)
        practice.levels.push_back(level.level);
    plan_.asked.insert(plan_.asked.end(), levels.begin(), levels.end());
    practice.right = count(node.at("right", "how many of the last answers must be right"), 1).value_or(1);
    practice.of = count(node.at("of", "of how many answers"), 1).value_or(practice.right);
    practice.most = count(node.find("most"), 1).value_or(std::max(Practice{}.most, practice.of));
    practice.feedback = node.find("feedback").yes_no().value_or(true);
    plan_.spec.practice = std::move(practice);
}

void TaskReader::read_levels(const LevelForm& form) {
    const bool source_sound = is_sound([&] { read_source(form); });
    const bool rest_sound = is_sound([&] {
        read_catch_trials();
        read_no_target(form);
        read_practice(form);
    });
    if (source_sound)
        note_faults_of_source(node_, plan_, form);
    if (sound_ && rest_sound)
        note_faults_of_rest(node_, plan_, form, source_sound);
}

// The unit of the levels, if all conditions agree on it.
std::optional<LevelForm> level_form(ProtocolReading& reading, int block) {
    const Protocol& protocol = reading.protocol;
    const AdjustmentSpace space = protocol.block(block).space;
    std::optional<LevelForm> form;
    for (const Condition& condition : protocol.conditions) {
        if (condition.block != block || condition.axes.empty())
            continue;
        LevelForm own;
        for (const AdjustmentAxis& axis : condition.axes)
            own.plain.push_back(is_plain_number(space, axis.name));
        if (!form)
            form = own;
        if (own.plain == form->plain)
            continue;
        reading.faults.add(
            protocol.fault_at(condition.keys.along,
                              own.dimensions() == form->dimensions()
                                  ? "directions with other units than those of the first condition"
                                  : fmt::format("{} directions, but the first condition has {}",
                                                own.dimensions(), form->dimensions()),
                              "the levels are the same for all conditions: write another block"));
    }
    return form;
}

}  // namespace

BlockAxes read_task_directions(const YamlNode& node, ProtocolReading& reading, Block& block) {
    node.only_keys(kTaskKeys);
    block.plan = TaskPlan{};
    BlockAxes axes;
    axes.space = read_space(node.at("space", "cone_contrast, macleod_boynton or primaries"));
    block.space = axes.space.value_or(block.space);
    const YamlNode along = node.find("along");
    axes.in_conditions = !along.exists();
    if (!along.exists())
        return axes;
    keep_place(along, reading.protocol);
    axes.key = along.key_path();
    if (axes.space)
        axes.axes = read_directions(along, *axes.space);
    return axes;
}

void read_task(const YamlNode& node, ProtocolReading& reading, int block) {
    TaskReader reader(node, reading, reading.protocol.blocks[static_cast<std::size_t>(block)]);
    reader.read_question();
    reader.read_times();
    const std::optional<LevelForm> form = level_form(reading, block);
    if (form)  // Without a form, the fault of the directions has already been noted.
        reader.read_levels(*form);
}

}  // namespace isoseam
