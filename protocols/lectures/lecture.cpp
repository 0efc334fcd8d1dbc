#include "protocols/lectures/lecture.h"

#include <algorithm>

namespace isoseam {
namespace {

template <class T>
T in_language(const Lecture& lecture, const ByLanguage<T>& texts, const std::string& language) {
    if (texts.empty())
        return {};
    const std::vector<std::string>& known = lecture.stage.languages;
    const bool is_known = std::find(known.begin(), known.end(), language) != known.end();
    return texts.in(is_known || known.empty() ? language : known.front());
}

}  // namespace

std::string kind_of(const Scene& scene) {
    static constexpr std::array<const char*, 6> kKinds{"card",   "field", "question",
                                                       "slider", "steer", "reveal"};
    static_assert(kKinds.size() == std::variant_size_v<decltype(Scene::content)>);
    return kKinds[scene.content.index()];
}

bool asks(const Scene& scene) {
    return std::holds_alternative<QuestionScene>(scene.content) || !sliders_of(scene).empty();
}

std::vector<const SliderWords*> sliders_of(const Scene& scene) {
    std::vector<const SliderWords*> sliders;
    if (const auto* slider = std::get_if<SliderScene>(&scene.content))
        sliders.push_back(&slider->words);
    if (const auto* steer = std::get_if<SteerScene>(&scene.content)) {
        for (const SteeringSlider& slider : steer->sliders)
            sliders.push_back(&slider.words);
    }
    return sliders;
}

std::string text_in(const Lecture& lecture, const Words& words, const std::string& language) {
    return in_language(lecture, words, language);
}

std::vector<std::string> text_in(const Lecture& lecture, const Paragraphs& paragraphs,
                                 const std::string& language) {
    return in_language(lecture, paragraphs, language);
}

std::string title_of(const Lecture& lecture, const Scene& scene, const std::string& language) {
    Words words;
    if (const auto* card = std::get_if<CardScene>(&scene.content))
        words = card->heading;
    if (const auto* question = std::get_if<QuestionScene>(&scene.content))
        words = question->ask;
    if (const auto* reveal = std::get_if<RevealScene>(&scene.content))
        words = reveal->heading;
    if (const auto sliders = sliders_of(scene); !sliders.empty())
        words = sliders.front()->ask;
    if (words.empty() && scene.field)
        words = scene.field->caption;
    return words.empty() ? scene.name : text_in(lecture, words, language);
}

}  // namespace isoseam
