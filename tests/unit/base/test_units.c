/* Units: spellings and conversion factors, each exact by definition. */
#include "milrise/units.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static const struct {
    const char *text;
    enum mr_dim dim;
    enum mr_unit want;
} spellings[] = {
    {"µm", MR_DIM_FILM, MR_UNIT_UM},
    {"\xce\xbcm", MR_DIM_FILM, MR_UNIT_UM},
    {"um", MR_DIM_FILM, MR_UNIT_UM},
    {"[Microns]", MR_DIM_FILM, MR_UNIT_UM},
    {"mils", MR_DIM_FILM, MR_UNIT_MIL},
    {"mm", MR_DIM_FILM, MR_UNIT_FILM_MM},
    {"mm", MR_DIM_LENGTH, MR_UNIT_MM},
    {"in.", MR_DIM_LENGTH, MR_UNIT_IN},
    {"°C", MR_DIM_TEMP, MR_UNIT_C},
    {"deg F", MR_DIM_TEMP, MR_UNIT_F},
    {"℃", MR_DIM_TEMP, MR_UNIT_C},
    {"K", MR_DIM_RISE, MR_UNIT_RISE_K},
    {"PSI", MR_DIM_PRESSURE, MR_UNIT_PSI},
    {"bar", MR_DIM_PRESSURE, MR_UNIT_BAR},
    {"mbar", MR_DIM_PRESSURE, MR_UNIT_HPA},
    {"% RH", MR_DIM_SHARE, MR_UNIT_PCT},
    {"sq ft", MR_DIM_AREA, MR_UNIT_FT2},
    {"m²", MR_DIM_AREA, MR_UNIT_M2},
    {"(\xc2\xb5)", MR_DIM_FILM, MR_UNIT_UM},
    {"my", MR_DIM_FILM, MR_UNIT_UM},
    {"micras", MR_DIM_FILM, MR_UNIT_UM},
    {"microns dry", MR_DIM_FILM, MR_UNIT_UM},
    {"um DFT", MR_DIM_FILM, MR_UNIT_UM},
    {"\xc2\xb5m DFT", MR_DIM_FILM, MR_UNIT_UM},
    {"0.001 in", MR_DIM_FILM, MR_UNIT_MIL},
    {"MPa(g)", MR_DIM_PRESSURE, MR_UNIT_MPA},
    {"bar(g)", MR_DIM_PRESSURE, MR_UNIT_BAR},
    {"psig", MR_DIM_PRESSURE, MR_UNIT_PSI},
    {"kgf/cm\xc2\xb2", MR_DIM_PRESSURE, MR_UNIT_KGFCM2},
    {"kg/cm2", MR_DIM_PRESSURE, MR_UNIT_KGFCM2},
    {"\xc2\xba"
     "C",
     MR_DIM_TEMP, MR_UNIT_C},
    {"\xc2\xb0 C", MR_DIM_TEMP, MR_UNIT_C},
    {"deg. C", MR_DIM_TEMP, MR_UNIT_C},
    /* damaged on the way, and still one unit only */
    {"\xc3\x82\xc2\xb5m", MR_DIM_FILM, MR_UNIT_UM},
    {"?m", MR_DIM_FILM, MR_UNIT_UM},
    {"\xc3\xa6m", MR_DIM_FILM, MR_UNIT_UM},
    {"\xef\xbf\xbdm", MR_DIM_FILM, MR_UNIT_UM},
    {"\xc3\xb8"
     "C",
     MR_DIM_TEMP, MR_UNIT_C},
    {"?F", MR_DIM_TEMP, MR_UNIT_F},
    {"\xc3\x82\xc2\xb0"
     "C",
     MR_DIM_TEMP, MR_UNIT_C},
    {"ft^2", MR_DIM_AREA, MR_UNIT_FT2},
    {"min", MR_DIM_DURATION, MR_UNIT_MIN},
};

Test(units, the_trades_spellings_are_known) {
    for (size_t i = 0; i < MR_COUNT(spellings); i++) {
        enum mr_unit got = MR_UNIT_NONE;
        cr_assert(mr_unit_parse(spellings[i].text, strlen(spellings[i].text), spellings[i].dim, &got), "%s",
                  spellings[i].text);
        cr_assert_eq(got, spellings[i].want, "%s", spellings[i].text);
    }
}

Test(units, what_names_no_unit_is_refused) {
    enum mr_unit unit = MR_UNIT_NONE;
    cr_assert_not(mr_unit_parse("furlong", 7, MR_DIM_LENGTH, &unit));
    cr_assert_not(mr_unit_parse("", 0, MR_DIM_FILM, &unit));
    static const char *const none[] = {"u",    "[U]",     "?",    "?mm",     "\xc3\xb8m", "\xc3\xa6",
                                       "psia", "bar abs", "bara", "kPa abs", "?i"};
    for (size_t i = 0; i < MR_COUNT(none); i++)
        cr_expect_not(mr_unit_find(none[i], strlen(none[i]), &unit), "%s", none[i]);
    cr_assert_not(mr_unit_parse("\xff", 1, MR_DIM_TEMP, &unit));
}

Test(units, factors_are_the_defined_ones) {
    /* Source: international inch (25.4 mm) and pound of 1959; US gallon of 231 cubic inches; SI brochure. */
    cr_assert_eq(mr_to_canonical(MR_UNIT_MIL, 1), 25.4);
    cr_assert_eq(mr_to_canonical(MR_UNIT_F, 212), 100.0);
    cr_assert_eq(mr_to_canonical(MR_UNIT_F, -40), -40.0);
    cr_assert_eq(mr_to_canonical(MR_UNIT_RISE_F, 9), 5.0);
    cr_assert_float_eq(mr_to_canonical(MR_UNIT_PSI, 1), 6.894757293168, 1e-12);
    cr_assert_float_eq(mr_to_canonical(MR_UNIT_GAL, 1), 231 * 25.4 * 25.4 * 25.4 / 1e6, 1e-12);
    cr_assert_float_eq(mr_to_canonical(MR_UNIT_FT2, 1), 0.3048 * 0.3048, 1e-15);
    cr_assert_float_eq(mr_to_canonical(MR_UNIT_INHG, 1), 3.38639, 5e-6); /* 3386.39 Pa as commonly printed */
    cr_assert_eq(mr_to_canonical(MR_UNIT_KGFCM2, 1), 98.0665); /* standard gravity 9.80665 m/s2, third CGPM 1901 */
    cr_assert_float_eq(mr_from_canonical(MR_UNIT_PSI, 100), 14.50377, 5e-6); /* 1 bar as commonly printed */
}

Test(units, there_and_back_again) {
    for (int u = MR_UNIT_UM; u <= MR_UNIT_DAY; u++)
        for (double v = -50; v < 5000; v += 17.3) {
            double back = mr_from_canonical((enum mr_unit)u, mr_to_canonical((enum mr_unit)u, v));
            cr_assert(fabs(back - v) <= 1e-9 * (1 + fabs(v)), "%s %g gave %.17g", mr_unit_symbol((enum mr_unit)u), v,
                      back);
        }
}
