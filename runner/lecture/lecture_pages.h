#pragma once
// Makes the pages of a lecture for the projector.

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "protocols/lectures/lecture_setup.h"
#include "runner/lecture_room/lecture_room.h"
#include "runner/station/phrases.h"
#include "runner/station/station.h"

namespace isoseam {

// What a class has answered to a scene.
struct ClassAnswers {
    std::vector<int> choices;  // how often each choice of a question was taken
    std::vector<SliderSpread> sliders;
    int people = 0;
    friend bool operator==(const ClassAnswers& a, const ClassAnswers& b);
};
ClassAnswers class_answers(const LectureRoom& room, int scene);  // `scene` is a scene's number, from 1

class LecturePages {
  public:
    // "" as `language` means the usual one of the lecture. `screen_px` is the size of the projector's
    // picture. If there is no projector it is none, and the pages have no pictures. InputError: the language
    // has no phrases.
    LecturePages(const LectureSetup& setup, const std::string& language,
                 const std::optional<std::array<int, 2>>& screen_px);

    const std::string& language() const { return language_; }

    // Tells people how to take part. If `address` is "", nobody can, and the page shows the title alone.
    Instruction join(const std::string& address, const std::string& room_code) const;
    // The words below the field of a scene (an index); "" where the scene has none.
    std::string caption(int scene) const;
    // The page of a scene (an index) without a field. `found` holds what the class has steered scenes to, by
    // index.
    Instruction scene(int scene, const std::map<int, std::vector<double>>& found) const;
    // Shows how the class has answered.
    Instruction answers(int scene, const ClassAnswers& counts) const;
    Instruction closing() const;
    Instruction end_question() const;

  private:
    Instruction reveal(int scene, const RevealScene& reveal,
                       const std::map<int, std::vector<double>>& found) const;
    const Scene& scene_at(int scene) const {
        return setup_.lecture().scenes[static_cast<std::size_t>(scene)];
    }
    std::string text(const Words& words) const;
    std::vector<std::string> text(const Paragraphs& paragraphs) const;
    // The drawing takes at most this share of the screen's width.
    std::shared_ptr<const InkPicture> drawing(const Figure& figure, double width_share) const;

    const LectureSetup& setup_;
    std::string language_;
    Phrases phrases_;
    std::optional<std::array<int, 2>> screen_px_;
};

}  // namespace isoseam
