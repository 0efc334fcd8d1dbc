#include "runner/lecture/lecture_pages.h"

#include <fmt/format.h>

#include <algorithm>

#include "protocols/lectures/reveal_words.h"
#include "runner/lecture/class_figures.h"
#include "runner/lecture/page_pictures.h"

namespace isoseam {
namespace {

// Shares of the screen's height and width. What is drawn stands beside what is to be read.
constexpr double kPictureHeight = 0.72;
constexpr double kPictureWidth = 0.5;
constexpr double kWidePicture = 0.62;
constexpr double kCode = 0.6;

// Writes a code in two groups, in which it is easier to read.
std::string grouped(const std::string& code) {
    const std::size_t half = code.size() / 2;
    return code.substr(0, half) + " " + code.substr(half);
}

}  // namespace

bool operator==(const ClassAnswers& a, const ClassAnswers& b) {
    const auto same_spread = [](const SliderSpread& s, const SliderSpread& t) {
        return s.bins == t.bins && s.median == t.median;
    };
    return a.people == b.people && a.choices == b.choices &&
           std::equal(a.sliders.begin(), a.sliders.end(), b.sliders.begin(), b.sliders.end(), same_spread);
}

ClassAnswers class_answers(const LectureRoom& room, int scene) {
    return {room.choice_counts(scene), room.slider_spreads(scene), room.answer_count(scene)};
}

LecturePages::LecturePages(const LectureSetup& setup, const std::string& language,
                           const std::optional<std::array<int, 2>>& screen_px)
    : setup_(setup), language_(language), phrases_(Phrases::read("en")), screen_px_(screen_px) {
    const std::vector<std::string>& languages = setup.lecture().stage.languages;
    if (language_.empty())
        language_ = languages.empty() ? "en" : languages.front();
    phrases_ = Phrases::read(language_);
}

std::string LecturePages::text(const Words& words) const {
    return text_in(setup_.lecture(), words, language_);
}

std::vector<std::string> LecturePages::text(const Paragraphs& paragraphs) const {
    return text_in(setup_.lecture(), paragraphs, language_);
}

std::shared_ptr<const InkPicture> LecturePages::drawing(const Figure& figure, double width_share) const {
    if (!screen_px_)
        return nullptr;
    const auto [width, height] = *screen_px_;
    return std::make_shared<const InkPicture>(figure_picture(figure, static_cast<int>(width_share * width),
                                                             static_cast<int>(kPictureHeight * height)));
}

Instruction LecturePages::join(const std::string& address, const std::string& room_code) const {
    Instruction page{text(setup_.lecture().title), {}, ""};
    if (address.empty())
        return page;
    page.paragraphs = {phrases_.filled("lecture_join_text", address),
                       phrases_.filled("lecture_code_text", grouped(room_code))};
    if (screen_px_) {
        const int most_px = static_cast<int>(kCode * std::min((*screen_px_)[0], (*screen_px_)[1]));
        page.picture = std::make_shared<const InkPicture>(
            address_picture(fmt::format("{}?room={}", address, room_code), most_px));
    }
    return page;
}

std::string LecturePages::caption(int scene) const {
    const Scene& shown = scene_at(scene);
    return shown.field ? text(shown.field->caption) : "";
}

Instruction LecturePages::scene(int scene, const std::map<int, std::vector<double>>& found) const {
    const Scene& shown = scene_at(scene);
    Instruction page;
    if (const auto* card = std::get_if<CardScene>(&shown.content)) {
        page.heading = text(card->heading);
        page.paragraphs = text(card->text);
    } else if (const auto* question = std::get_if<QuestionScene>(&shown.content)) {
        page.heading = text(question->ask);
        for (std::size_t i = 0; i < question->choices.size(); ++i)
            page.choices.push_back(fmt::format("{}  {}", i + 1, text(question->choices[i])));
    } else if (const auto* slider = std::get_if<SliderScene>(&shown.content)) {
        page.heading = text(slider->words.ask);
        page.paragraphs = {fmt::format("{}  \u2194  {}", text(slider->words.low), text(slider->words.high))};
    } else if (const auto* revealed = std::get_if<RevealScene>(&shown.content)) {
        return reveal(scene, *revealed, found);
    }
    return page;
}

Instruction LecturePages::reveal(int scene, const RevealScene& reveal,
                                 const std::map<int, std::vector<double>>& found) const {
    const auto steered = found.find(reveal.of);
    const Revealed revealed =
        setup_.reveal(scene, steered == found.end() ? std::vector<double>{} : steered->second);
    Instruction page{text(reveal.heading), text(reveal.text), ""};
    const std::vector<std::string> words = reveal_words(revealed, language_);
    // The last paragraph says how the answers were counted.
    page.paragraphs.insert(page.paragraphs.end(), words.begin(), std::prev(words.end()));
    page.foot = words.back();
    page.picture = drawing(reveal_figure(revealed, setup_.stage().observer()), kPictureWidth);
    return page;
}

Instruction LecturePages::answers(int scene, const ClassAnswers& counts) const {
    const Scene& shown = scene_at(scene);
    const std::string people = phrases_.filled("lecture_answers", counts.people);
    Instruction page{title_of(setup_.lecture(), shown, language_), {}, people};
    if (const auto* question = std::get_if<QuestionScene>(&shown.content)) {
        for (std::size_t i = 0; i < question->choices.size(); ++i) {
            const bool right = question->right && *question->right == static_cast<int>(i);
            page.paragraphs.push_back(
                fmt::format("{}  {}{}", i + 1, text(question->choices[i]), right ? "  \u2713" : ""));
        }
        page.picture = drawing(choices_figure(counts.choices, phrases_("lecture_count_axis")), kPictureWidth);
        return page;
    }
    page.picture = drawing(sliders_figure(class_sliders(setup_.lecture(), shown, counts.sliders, language_),
                                          phrases_("lecture_count_axis")),
                           kWidePicture);
    return page;
}

Instruction LecturePages::closing() const {
    return {
        text(setup_.lecture().closing.empty() ? setup_.lecture().title : setup_.lecture().closing), {}, ""};
}

Instruction LecturePages::end_question() const {
    return {phrases_("lecture_end_heading"), {}, phrases_("lecture_end_foot")};
}

}  // namespace isoseam
