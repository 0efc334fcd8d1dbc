#include "colorimetry/eye_types.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <vector>

#include "base/errors.h"

namespace isoseam {
namespace {

struct Names {
    std::string name;
    std::string word;
};

const Names& names_of(EyeType type) {
    static const std::array<Names, kEyeTypes.size()> names{{{"trichromat", "trichromat"},
                                                            {"protanomalous trichromat", "protanomalous"},
                                                            {"deuteranomalous trichromat", "deuteranomalous"},
                                                            {"protanope", "protanope"},
                                                            {"deuteranope", "deuteranope"},
                                                            {"tritanope", "tritanope"},
                                                            {"L-cone monochromat", "l-cone-monochromat"},
                                                            {"M-cone monochromat", "m-cone-monochromat"},
                                                            {"S-cone monochromat", "s-cone-monochromat"}}};
    return names.at(static_cast<std::size_t>(type));
}

bool is_own_of_l(Pigment pigment) {
    return pigment == Pigment::l || pigment == Pigment::l_serine_180 || pigment == Pigment::l_alanine_180;
}

bool is_own_of_m(Pigment pigment) {
    return pigment == Pigment::m;
}

}  // namespace

const std::string& name_of(EyeType type) {
    return names_of(type).name;
}

const std::string& word_of(EyeType type) {
    return names_of(type).word;
}

EyeType eye_type_named(const std::string& word) {
    std::vector<std::string> words;
    for (const EyeType type : kEyeTypes) {
        if (word_of(type) == word) {
            return type;
        }
        words.push_back(word_of(type));
    }
    const std::string near = nearest_word(word, words);
    throw InputError("type", fmt::format("there is no type of eye '{}'", word),
                     near.empty() ? fmt::format("write one of: {}", fmt::join(words, ", "))
                                  : fmt::format("did you mean {}?", near));
}

EyeType type_of(const ObserverParameters& eye) {
    ISOSEAM_CHECK(eye.has(Cone::l) || eye.has(Cone::m) || eye.has(Cone::s));
    if (eye.lacks_l && eye.lacks_m) {
        return EyeType::s_cone_monochromat;
    }
    if (eye.lacks_l) {
        return eye.lacks_s ? EyeType::m_cone_monochromat : EyeType::protanope;
    }
    if (eye.lacks_m) {
        return eye.lacks_s ? EyeType::l_cone_monochromat : EyeType::deuteranope;
    }
    if (eye.lacks_s) {
        return EyeType::tritanope;
    }
    if (!is_own_of_l(eye.l_pigment)) {
        return EyeType::protanomalous;
    }
    return is_own_of_m(eye.m_pigment) ? EyeType::trichromat : EyeType::deuteranomalous;
}

ObserverParameters as_trichromat(const ObserverParameters& eye) {
    ObserverParameters trichromat = eye;
    trichromat.lacks_l = trichromat.lacks_m = trichromat.lacks_s = false;
    if (!is_own_of_l(eye.l_pigment)) {
        trichromat.l_pigment = Pigment::l;
        trichromat.shift_l_nm = 0.0;
    }
    if (!is_own_of_m(eye.m_pigment)) {
        trichromat.m_pigment = Pigment::m;
        trichromat.shift_m_nm = 0.0;
    }
    return trichromat;
}

ObserverParameters as_type(const ObserverParameters& base, EyeType type, const AnomalousPigments& pigments) {
    ObserverParameters eye = as_trichromat(base);
    switch (type) {
        case EyeType::trichromat:
            break;
        case EyeType::protanomalous:
            eye.l_pigment = eye.m_pigment;
            eye.shift_l_nm = eye.shift_m_nm + pigments.from_m_nm;
            break;
        case EyeType::deuteranomalous:
            eye.m_pigment = eye.l_pigment;
            eye.shift_m_nm = eye.shift_l_nm + pigments.from_l_nm;
            break;
        case EyeType::protanope:
            eye.lacks_l = true;
            break;
        case EyeType::deuteranope:
            eye.lacks_m = true;
            break;
        case EyeType::tritanope:
            eye.lacks_s = true;
            break;
        case EyeType::l_cone_monochromat:
            eye.lacks_m = eye.lacks_s = true;
            break;
        case EyeType::m_cone_monochromat:
            eye.lacks_l = eye.lacks_s = true;
            break;
        case EyeType::s_cone_monochromat:
            eye.lacks_l = eye.lacks_m = true;
            break;
    }
    return eye;
}

ObserverParameters mean_eye(const ObserverParameters& eye) {
    ObserverParameters mean;
    mean.field = eye.field;
    mean.age = eye.age;
    mean.curves = eye.curves;
    return mean;
}

ObserverParameters mean_eye_of_type(const ObserverParameters& eye) {
    ObserverParameters mean = mean_eye(eye);
    mean.lacks_l = eye.lacks_l;
    mean.lacks_m = eye.lacks_m;
    mean.lacks_s = eye.lacks_s;
    if (!is_own_of_l(eye.l_pigment)) {
        mean.l_pigment = eye.l_pigment;
        mean.shift_l_nm = eye.shift_l_nm - eye.shift_m_nm;
    }
    if (!is_own_of_m(eye.m_pigment)) {
        mean.m_pigment = eye.m_pigment;
        mean.shift_m_nm = eye.shift_m_nm - eye.shift_l_nm;
    }
    return mean;
}

}  // namespace isoseam
