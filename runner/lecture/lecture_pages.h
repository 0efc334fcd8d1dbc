#pragma once
// A lecture's pages for the projector.

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
    std::vector<int> choices;  // of a question
    std::vector<SliderSpread> sliders;
    int people = 0;
    friend bool operator==(const ClassAnswers& a, const ClassAnswers& b);
};
ClassAnswers class_answers(const LectureRoom& room, int scene);  // a scene's number, from 1

class LecturePages {
  public:
    // `language`: "" is the lecture's usual one. `screen_px`: of the projector; none where there is none, and
    // then there are no pictures. InputError for a language without phrases.
    LecturePages(const LectureSetup& setup, const std::string& language,
                 const std::optional<std::array<int, 2>>& screen_px);

    const std::string& language() const { return language_; }

    // How to take part. `address`: "" where nobody can: then the title alone.
    Instruction join(const std::string& address, const std::string& room_code) const;
    // Below the field of a scene (an index); "" where it has none.
    std::string caption(int scene) const;
    // Of a scene (an index) without a field. `found`: what the class has steered scenes to, by index.
    Instruction scene(int scene, const std::map<int, std::vector<double>>& found) const;
    // How the class has answered.
    Instruction answers(int scene, const ClassAnswers& counts) const;
    Instruction closing() const;
    Instruction end_question() const;

  private:
    Instruction reveal(int scene, const RevealScene& reveal,
                       const std::map<int, std::vector<double>>& found) const;
    std::string text(const Words& words) const;
    std::vector<std::string> text(const Paragraphs& paragraphs) const;
    // In this share of the screen's width at most.
    std::shared_ptr<const InkPicture> drawing(const Figure& figure, double width_share) const;

    const LectureSetup& setup_;
    std::string language_;
    Phrases phrases_;
    std::optional<std::array<int, 2>> screen_px_;
};

}  // namespace isoseam
