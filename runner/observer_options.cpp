#include "runner/observer_options.h"

namespace isoseam {

void ObserverOptions::add_to(CLI::App* command, bool individual) {
    command->add_option("--field", field_deg_, "field size in degrees, 1 to 10 (2)");
    command->add_option("--age", age_years_, "age in years, 20 to 80 (32)");
    if (!individual)
        return;
    command->add_option("--lens", deviations_.lens_percent, "change of the lens density in percent");
    command->add_option("--macular", deviations_.macular_percent, "change of the macular density in percent");
    command->add_option("--density-l", deviations_.density_l_percent,
                        "change of the L pigment's density in percent");
    command->add_option("--density-m", deviations_.density_m_percent,
                        "change of the M pigment's density in percent");
    command->add_option("--density-s", deviations_.density_s_percent,
                        "change of the S pigment's density in percent");
    command->add_option("--shift-l", deviations_.shift_l_nm, "shift of the L pigment in nm");
    command->add_option("--shift-m", deviations_.shift_m_nm, "shift of the M pigment in nm");
    command->add_option("--shift-s", deviations_.shift_s_nm, "shift of the S pigment in nm");
}

ObserverParameters ObserverOptions::parameters() const {
    ObserverParameters parameters = deviations_;
    parameters.field = Degrees::from_degrees(field_deg_);
    parameters.age = Years::from_years(age_years_);
    return parameters;
}

}  // namespace isoseam
