#include "protocols/setup/caution.h"

namespace isoseam {

std::vector<std::string> caution_texts(const std::vector<Caution>& cautions) {
    std::vector<std::string> texts;
    for (const bool last_word : {false, true}) {
        for (const Caution& caution : cautions) {
            if ((caution.kind == CautionKind::diagnosis) == last_word)
                texts.push_back(caution.text);
        }
    }
    return texts;
}

}  // namespace isoseam
