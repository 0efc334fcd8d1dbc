#include "stimuli/gl/page_type.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/errors.h"

namespace isoseam {

Type::Type(const std::string& path, double size_px)
    : size_px_(size_px),
      font_(TTF_OpenFont(path.c_str(), std::max(1, static_cast<int>(std::lround(size_px))))) {
    if (font_ == nullptr)
        throw MachineError(fmt::format("{}: the font cannot be read ({})", path, TTF_GetError()),
                           "install the package fonts-dejavu-core again");
}

double Type::width_px(const std::string& text) const {
    int width = 0;
    ISOSEAM_CHECK(TTF_SizeUTF8(font_.get(), text.c_str(), &width, nullptr) == 0, std::string(TTF_GetError()));
    return width;
}

double Type::height_px() const {
    return TTF_FontHeight(font_.get());
}

}  // namespace isoseam
