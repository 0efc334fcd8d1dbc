#pragma once
// Type: the font in one size, and how wide words are in it.

#include <SDL_ttf.h>

#include <memory>
#include <string>

namespace isoseam {

struct FontCloser {
    void operator()(TTF_Font* font) const { TTF_CloseFont(font); }
};

class Type {
  public:
    // MachineError when the font cannot be read.
    Type(const std::string& path, double size_px);

    double size_px() const { return size_px_; }
    double width_px(const std::string& text) const;
    // From the upper edge of a line of text, as it is drawn, to its lower one.
    double height_px() const;
    TTF_Font* font() const { return font_.get(); }

  private:
    double size_px_;
    std::unique_ptr<TTF_Font, FontCloser> font_;
};

}  // namespace isoseam
