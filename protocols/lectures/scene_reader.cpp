#include "protocols/lectures/scene_reader.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

namespace isoseam {
namespace {

// The largest amount of a mix. A larger one is a mistake rather than a light.
constexpr double kMostAmount = 100.0;

// The reference of a reveal to another scene, which is kept until all scenes have been read.
struct OpenReference {
    std::size_t scene;
    YamlNode node;
};

SliderWords read_slider_words(const YamlNode& node, const ProtocolReading& reading) {
    SliderWords words;
    words.ask = reading.texts.words(node.at("ask", "what the slider is for"));
    words.low = reading.texts.words(node.at("low", "what its lower end means"));
    words.high = reading.texts.words(node.at("high", "what its upper end means"));
    return words;
}

// Reads a number from `lowest` to `highest`.
std::optional<double> read_within(const YamlNode& node, double lowest, double highest) {
    const std::optional<double> value = node.number();
    if (value && !(*value >= lowest && *value <= highest)) {
        node.fault(fmt::format("{:g} is not within {:g} and {:g}", *value, lowest, highest),
                   "write a number between them");
        return std::nullopt;
    }
    return value;
}

CardScene read_card(const YamlNode& node, const ProtocolReading& reading) {
    node.only_keys({"heading", "text"});
    return {reading.texts.words(node.at("heading", "the card's heading")),
            reading.texts.paragraphs(node.at("text", "a paragraph, or a list of paragraphs"))};
}

QuestionScene read_question(const YamlNode& node, const ProtocolReading& reading) {
    node.only_keys({"ask", "choices", "right"});
    QuestionScene question;
    question.ask = reading.texts.words(node.at("ask", "the question"));
    const YamlNode choices = node.at("choices", "a list of what there is to choose from");
    for (const YamlNode& choice : choices.items())
        question.choices.push_back(reading.texts.words(choice));
    const std::size_t count = question.choices.size();
    if (choices.is_sequence() && (count < kLeastChoices || count > kMostChoices)) {
        choices.fault(fmt::format("{} choice(s)", count),
                      fmt::format("write {} to {}", kLeastChoices, kMostChoices));
    }
    const long highest = static_cast<long>(std::max(count, kLeastChoices));
    if (const auto right = node.find("right").whole_number(1, highest))
        question.right = static_cast<int>(*right) - 1;
    return question;
}

SliderScene read_slider(const YamlNode& node, const ProtocolReading& reading) {
    node.only_keys({"ask", "low", "high", "start"});
    SliderScene slider{read_slider_words(node, reading)};
    slider.words.start = read_within(node.find("start"), 0.0, 1.0).value_or(0.5);
    return slider;
}

// ---- Steering ----
void read_range(const YamlNode& node, SteeringSlider& slider) {
    const bool is_share = slider.controls == SteeringSlider::Controls::share;
    const YamlNode from =
        is_share ? node.find("from") : node.at("from", "the amount at the slider's lower end, such as 0.5");
    const YamlNode to =
        is_share ? node.find("to") : node.at("to", "the amount at the slider's upper end, such as 1.5");
    const double highest = is_share ? 1.0 : kMostAmount;
    slider.from = read_within(from, 0.0, highest).value_or(0.0);
    slider.to = read_within(to, 0.0, highest).value_or(is_share ? 1.0 : highest);
    if (!(slider.from < slider.to)) {
        to.fault(fmt::format("the slider leads from {:g} to {:g}", slider.from, slider.to),
                 "write a larger value for `to` than for `from`");
        return;
    }
    const auto start = read_within(node.find("start"), slider.from, slider.to);
    slider.words.start = start ? (*start - slider.from) / (slider.to - slider.from) : 0.5;
}

std::optional<SteeringSlider> read_steering_slider(const YamlNode& node, const ProtocolReading& reading) {
    node.only_keys({"controls", "ask", "low", "high", "from", "to", "start"});
    SteeringSlider slider;
    slider.words = read_slider_words(node, reading);
    const auto controls = node.at("controls", "what it moves: share or amount").choice({"share", "amount"});
    if (!controls)
        return std::nullopt;
    slider.controls = static_cast<SteeringSlider::Controls>(*controls);
    read_range(node, slider);
    return slider;
}

void read_mix(const YamlNode& node, ProtocolReading& reading, SteerScene& steer) {
    const std::vector<YamlNode> items = node.items();
    if (node.is_sequence() && (items.empty() || items.size() > 2))
        node.fault(fmt::format("a mix of {} lights", items.size()), "name one light, or two");
    for (const YamlNode& item : items) {
        if (const auto light = reading.lights.read(item))
            steer.mix.push_back(*light);
    }
    keep_place(node, reading.protocol);
}

// Checks that no two sliders control the same thing, and that a slider of the share has two lights.
void check_controls(const YamlNode& sliders, const SteerScene& steer, bool all_read) {
    const auto count = [&](SteeringSlider::Controls controls) {
        return std::count_if(steer.sliders.begin(), steer.sliders.end(),
                             [&](const SteeringSlider& slider) { return slider.controls == controls; });
    };
    const auto shares = count(SteeringSlider::Controls::share);
    if (shares > 1 || count(SteeringSlider::Controls::amount) > 1)
        sliders.fault("two sliders control the same", "let one control share and the other one amount");
    if (steer.mix.size() == 1 && shares > 0)
        sliders.fault("a share of one light", "name two lights in mix, or control amount alone");
    if (steer.mix.size() == 2 && shares == 0 && all_read)
        sliders.fault("nothing moves from the first light of the mix to the second",
                      "add a slider with 'controls: share', or name one light in mix");
}

SteerScene read_steer(const YamlNode& node, ProtocolReading& reading) {
    node.only_keys({"half", "mix", "sliders"});
    SteerScene steer;
    if (reading.halves) {
        const auto half = node.at("half", fmt::format("{} or {}", (*reading.halves)[0], (*reading.halves)[1]))
                              .choice({(*reading.halves)[0], (*reading.halves)[1]});
        steer.half = half == 0 ? Half::first : Half::second;
    }
    read_mix(node.at("mix", "the lights that are mixed, such as [long_wave, middle_wave]"), reading, steer);
    const YamlNode sliders = node.at("sliders", "a list of one or two sliders");
    bool all_read = true;
    const std::vector<YamlNode> items = sliders.items();
    for (const YamlNode& item : items) {
        const auto slider = read_steering_slider(item, reading);
        all_read = all_read && slider;
        if (slider)
            steer.sliders.push_back(*slider);
    }
    if (sliders.is_sequence() && items.empty())
        sliders.fault("no slider", "write one that controls share or amount");
    check_controls(sliders, steer, all_read && !items.empty());
    return steer;
}

// ---- Reveals ----
std::array<bool, 3> read_cones(const YamlNode& node) {
    if (!node.exists())
        return {true, true, true};
    std::array<bool, 3> cones{};
    for (const YamlNode& item : node.items()) {
        const auto cone = item.choice({"L", "M", "S"});
        if (!cone)
            continue;
        bool& shown = cones[static_cast<std::size_t>(*cone)];
        if (shown)
            item.fault(fmt::format("'{}' stands twice", item.text().value_or("")), "keep one of them");
        shown = true;
    }
    if (node.is_sequence() && node.items().empty())
        node.fault("no cone", "name one to three of L, M and S, or take the key away for all");
    return cones;
}

void read_revealed_lights(const YamlNode& node, ProtocolReading& reading, RevealScene& reveal) {
    constexpr std::size_t kMostLights = 4;
    const std::vector<YamlNode> items = node.items();
    for (const YamlNode& item : items) {
        if (const auto light = reading.lights.read(item))
            reveal.lights.push_back(*light);
    }
    if (node.is_sequence() && (items.size() < 2 || items.size() > kMostLights)) {
        node.fault(fmt::format("{} lights to compare", items.size()),
                   fmt::format("name two to {}", kMostLights));
    } else if (items.size() > 2 && reading.protocol.rig.sources.size() > 1 &&
               reveal.spectra == RevealScene::Spectra::emitted) {
        node.fault("more lights than screens",
                   "name two: the first is the first half's, the second the other half's");
    }
}

RevealScene read_reveal(const YamlNode& node, ProtocolReading& reading, std::size_t scene,
                        std::vector<OpenReference>& references) {
    node.only_keys({"heading", "text", "lights", "of", "cones", "spectra"});
    RevealScene reveal;
    reveal.heading = reading.texts.words(node.at("heading", "what the reveal tells"));
    reveal.text = reading.texts.paragraphs(node.find("text"));
    reveal.cones = read_cones(node.find("cones"));
    if (node.find("spectra").choice({"emitted", "described"}) == 1)
        reveal.spectra = RevealScene::Spectra::described;
    const YamlNode lights = node.find("lights");
    const YamlNode of = node.find("of");
    if (lights.exists() && of.exists()) {
        of.fault("lights and a scene", "keep one: `lights` names lights, `of` a scene that showed two");
    } else if (of.exists()) {
        keep_place(of, reading.protocol);
        references.push_back({scene, of});
    } else {
        read_revealed_lights(node.at("lights", "the lights to compare; or `of`, a scene that showed two"),
                             reading, reveal);
    }
    return reveal;
}

// ---- Fields ----
SceneField read_scene_field(const YamlNode& node, ProtocolReading& reading, const SteerScene* steer) {
    SceneField field;
    if (!reading.halves)
        return field;  // The form of the field has a fault, so its halves have no names.
    only_keys_without_flicker(node, {(*reading.halves)[0], (*reading.halves)[1], "caption"});
    for (std::size_t i = 0; i < 2; ++i) {
        const std::string& name = (*reading.halves)[i];
        if (steer != nullptr && static_cast<std::size_t>(steer->half) == i) {
            refuse(
                node.find(name), "this half is steered by the class",
                fmt::format("take it away: give the light of the {} half alone", (*reading.halves)[1 - i]));
            continue;
        }
        field.halves[i] = reading.lights.read(node.at(name, fmt::format("the light of the {} half", name)));
    }
    field.caption = reading.texts.words(node.find("caption"));
    return field;
}

// The keys that say what a scene contains. A scene has at most one of them.
const std::vector<std::string> kContents{"card", "question", "slider", "steer", "reveal"};

// Finds the key of the scene's content. It is "" for a scene that is a field alone.
std::string read_content_key(const YamlNode& node) {
    std::string found;
    for (const std::string& content : kContents) {
        if (!node.find(content).exists())
            continue;
        if (!found.empty()) {
            node.find(content).fault(fmt::format("a {} and a {} in one scene", found, content),
                                     "make two scenes of it");
            continue;
        }
        found = content;
    }
    return found;
}

void read_field_of_scene(const YamlNode& node, const std::string& content, ProtocolReading& reading,
                         Scene& scene) {
    const YamlNode field = node.find("field");
    if (content == "card" || content == "reveal") {
        refuse(field, fmt::format("a {} fills the screen by itself", content),
               "give the field a scene of its own");
        refuse(node.find("say"), fmt::format("a {} has words of its own", content),
               fmt::format("write them under {}.text", content));
        return;
    }
    const auto* steer = std::get_if<SteerScene>(&scene.content);
    if (steer != nullptr && !field.exists()) {
        static_cast<void>(node.at("field", "the light of the half that is not steered"));
    } else if (field.exists()) {
        scene.field = read_scene_field(field, reading, steer);
    } else if (content.empty() && node.is_map()) {
        node.fault("a scene that shows nothing and asks nothing",
                   fmt::format("write a field, or one of: {}", fmt::join(kContents, ", ")));
    }
}

Scene read_scene(const YamlNode& node, ProtocolReading& reading, std::size_t index,
                 std::vector<OpenReference>& references) {
    std::vector<std::string> keys{"name", "field", "say", "notes"};
    keys.insert(keys.end(), kContents.begin(), kContents.end());
    only_keys_without_flicker(node, std::move(keys));
    Scene scene{read_words(node.at("name", "a name of your own, such as first_look")).value_or(""),
                FieldScene{}};
    if (!scene.name.empty() && !is_plain_name(scene.name))
        node.find("name").fault(fmt::format("'{}' cannot name a scene", scene.name),
                                "write a letter, then letters, digits, '_' and '-'");
    const std::string content = read_content_key(node);
    const YamlNode part = node.find(content);
    if (content == "card")
        scene.content = read_card(part, reading);
    else if (content == "question")
        scene.content = read_question(part, reading);
    else if (content == "slider")
        scene.content = read_slider(part, reading);
    else if (content == "steer")
        scene.content = read_steer(part, reading);
    else if (content == "reveal")
        scene.content = read_reveal(part, reading, index, references);
    read_field_of_scene(node, content, reading, scene);
    scene.say = reading.texts.paragraphs(node.find("say"));
    scene.notes = reading.texts.paragraphs(node.find("notes"));
    scene.key = node.key_path();
    return scene;
}

void check_names(const std::vector<YamlNode>& items, const std::vector<Scene>& scenes) {
    std::set<std::string> names;
    for (std::size_t i = 0; i < items.size(); ++i) {
        if (!scenes[i].name.empty() && !names.insert(scenes[i].name).second)
            items[i].find("name").fault(fmt::format("a second scene '{}'", scenes[i].name),
                                        "give each scene a name of its own");
    }
}

// Checks that a reveal refers to an earlier scene that shows two halves, and keeps the reference.
void settle(const OpenReference& reference, const std::vector<bool>& shows_field, Lecture& lecture) {
    const std::optional<std::string> name = reference.node.text();
    if (!name)
        return;
    std::vector<std::string> usable;
    for (std::size_t i = 0; i < reference.scene; ++i) {
        if (!shows_field[i])
            continue;
        usable.push_back(lecture.scenes[i].name);
        if (usable.back() == *name)
            std::get<RevealScene>(lecture.scenes[reference.scene].content).of = static_cast<int>(i);
    }
    const auto& reveal = std::get<RevealScene>(lecture.scenes[reference.scene].content);
    if (reveal.of < 0) {
        reference.node.fault(fmt::format("'{}' is no scene before this one that shows a field", *name),
                             usable.empty() ? "put such a scene before it"
                                            : fmt::format("name one of: {}", fmt::join(usable, ", ")));
    } else if (reveal.spectra == RevealScene::Spectra::described &&
               std::holds_alternative<SteerScene>(
                   lecture.scenes[static_cast<std::size_t>(reveal.of)].content)) {
        reference.node.fault("what a class finds is described by nobody", "write 'spectra: emitted'");
    }
}

}  // namespace

void only_keys_without_flicker(const YamlNode& node, std::vector<std::string> known) {
    if (node.find("flicker").exists()) {
        node.find("flicker").fault(
            "lectures do not flicker: flicker can trigger seizures, and nobody asks a class beforehand",
            "take it away; W3C WCAG 2.2, success criterion 2.3.1, and ITU-R BT.1702 limit what flashes "
            "before "
            "a general audience");
        known.emplace_back("flicker");
    }
    node.only_keys(known);
}

void read_scenes(const YamlNode& node, ProtocolReading& reading, Lecture& lecture) {
    const std::vector<YamlNode> items = node.items();
    if (node.is_sequence() && (items.empty() || items.size() > kMostScenes))
        node.fault(fmt::format("{} scenes", items.size()), fmt::format("write 1 to {}", kMostScenes));
    std::vector<OpenReference> references;
    std::vector<bool> shows_field;
    for (std::size_t i = 0; i < items.size(); ++i) {
        lecture.scenes.push_back(read_scene(items[i], reading, i, references));
        shows_field.push_back(lecture.scenes.back().field.has_value());
    }
    check_names(items, lecture.scenes);
    for (const OpenReference& reference : references)
        settle(reference, shows_field, lecture);
}

}  // namespace isoseam
