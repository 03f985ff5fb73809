/*
 * Laws of whole jobs on words that take something back, in the languages of the maps.
 *
 *   verdicts        a verification whose row says that the gauge did not pass proves nothing, whatever its figures
 *   withdrawn       readings that a cell takes back, in whatever column, or calls a calibration, leave the zone open
 *   shelf dates     material past the day until which it might be used never conforms, however that column is called
 *   units           a unit anywhere in a heading, above the table or in a column, which the values contradict, never
 *                   conforms; their own changes nothing
 *   titles          readings below a title among the rows that speaks of something else than the work prove nothing;
 *                   another title changes nothing
 *
 * The laws are the project's own.
 */
#include "random_job.h"

/* One text in a further column, in each row or from one row to another. */
static void beside(struct whole_job *j, size_t file, const char *heading, const char *cell, bool whole) {
    struct table *t = &j->file[file];
    const size_t from = whole ? 1 : 1 + pick(j, t->rows - 1), to = whole ? t->rows : from + 1 + pick(j, 4);
    for (size_t i = 0; i < t->rows; i++)
        snprintf(t->cell[i][t->columns], CELL, "%s", !i ? heading : i >= from && i < to ? cell : "");
    t->columns++;
}

static const char *pair_text(const char *const *pair) {
    static char text[100];
    snprintf(text, sizeof text, "%s: %s", pair[0], pair[1]);
    return text;
}

struct words {
    size_t file;
    const char *const (*bad)[2], *const (*good)[2];
    size_t n_bad, n_good;
    bool some; /* of some rows only they must not be missed either */
};

static void hear(const char *name, uint64_t base, const struct words *w) {
    struct law heard = {0}, quiet = {0};
    char label[120];
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + base);
        const enum mr_outcome before = verdict(j);
        const size_t k = pick(j, w->n_bad);
        beside(j, w->file, w->bad[k][0], w->bad[k][1], !w->some || pick(j, 2) == 0);
        enum mr_outcome after = verdict(j);
        count(&heard, seed, pair_text(w->bad[k]), before, after, after <= MR_CONFORMS);
        j = draw(seed + base);
        const size_t g = pick(j, w->n_good);
        beside(j, w->file, w->good[g][0], w->good[g][1], pick(j, 2) == 0);
        after = verdict(j);
        count(&quiet, seed, pair_text(w->good[g]), before, after, after != before);
    }
    snprintf(label, sizeof label, "%s against", name);
    tell(label, &heard);
    snprintf(label, sizeof label, "%s for it, or harmless", name);
    tell(label, &quiet);
}

Test(prop_heard, a_gauge_that_did_not_pass_verifies_nothing, .timeout = 600) {
    static const char *const bad[][2] = {{"Result", "fail"},
                                         {"Passed", "no"},
                                         {"Pass/Fail", "F"},
                                         {"In tolerance", "no"},
                                         {"Within tolerance", "false"},
                                         {"Ergebnis", "nicht bestanden"},
                                         {"Bewertung", "n.i.O."},
                                         {"Bestanden", "nein"},
                                         {"R\xc3\xa9sultat", "non conforme"},
                                         {"Conforme", "non"},
                                         {"Resultado", "rechazado"},
                                         {"Aprobado", "no"},
                                         {"Esito", "respinto"},
                                         {"Goedgekeurd", "nee"},
                                         {"Resultat", "underk\xc3\xa4nd"},
                                         {"Wynik", "niezgodny"},
                                         {"OK?", "0"},
                                         {"Verdict", "\xe2\x9c\x97"},
                                         {"Accepted", "zorb"},
                                         {"Comment", "out of tolerance"},
                                         {"Bemerkung", "nicht bestanden"},
                                         {"Remark", "fuera de tolerancia"}};
    static const char *const good[][2] = {{"Result", "PASS"},
                                          {"Passed", "yes"},
                                          {"Pass/Fail", "P"},
                                          {"In tolerance", "yes"},
                                          {"Ergebnis", "bestanden"},
                                          {"Bewertung", "i.O."},
                                          {"R\xc3\xa9sultat", "conforme"},
                                          {"Resultado", "aprobado"},
                                          {"Esito", "superato"},
                                          {"Goedgekeurd", "ja"},
                                          {"Resultat", "godk\xc3\xa4nd"},
                                          {"Wynik", "zgodny"},
                                          {"Result", "0.5"},
                                          {"Result", "-"},
                                          {"Deviation (um)", "1"},
                                          {"Checked by", "inspector"},
                                          {"Fail", "no"},
                                          {"Comment", "second foil of the set"}};
    hear("verdicts", 1100000, &(struct words){CHECKS, bad, good, MR_COUNT(bad), MR_COUNT(good), true});
}

Test(prop_heard, readings_that_a_cell_takes_back_leave_the_zone_open, .timeout = 600) {
    static const char *const bad[][2] = {{"Typ", "verworfen"},
                                         {"Typ", "Ausrei\xc3\x9f"
                                                 "er"},
                                         {"Art", "ung\xc3\xbcltig"},
                                         {"Tipo", "anulado"},
                                         {"Tipo", "scartato"},
                                         {"Kind", "outlier"},
                                         {"Rodzaj", "odrzucone"},
                                         {"Soort", "afgekeurd"},
                                         {"Slag", "kasserad"},
                                         {"Type de mesure", "annul\xc3\xa9"
                                                            "e"},
                                         {"Typ", "zorb"},
                                         {"Purpose", "calibration"},
                                         {"Classification", "calibration"},
                                         {"Classification", "outlier"},
                                         {"Category", "rejected"},
                                         {"Memo", "calibration"},
                                         {"Memo", "do not use"},
                                         {"Zweck", "Kalibrierung"},
                                         {"Label", "zero check"},
                                         {"Remark", "superseded"},
                                         {"Bemerkung", "verworfen"},
                                         {"Tag", "eliminado"}};
    static const char *const good[][2] = {{"Typ", "Einzelmessung"},
                                          {"Tipo", "medida"},
                                          {"Art", "gut"},
                                          {"Kind", "single"},
                                          {"Rodzaj", "pomiar"},
                                          {"Soort", "goed"},
                                          {"Type de mesure", "bon"},
                                          {"Purpose", "acceptance"},
                                          {"Classification", "main deck"},
                                          {"Category", "B"},
                                          {"Memo", "near plate 3"},
                                          {"Label", "north 4"},
                                          {"Remark", "no outliers"},
                                          {"Bemerkung", "zweite Kolonne"},
                                          {"Tag", "12"},
                                          {"Remark", "beside the rejected weld"}};
    hear("readings withdrawn", 1300000, &(struct words){FILM, bad, good, MR_COUNT(bad), MR_COUNT(good), true});
}

Test(prop_heard, material_past_its_day_never_conforms, .timeout = 600) {
    static const char *const headings[] = {"Use by",
                                           "Exp.",
                                           "Valid until",
                                           "MHD",
                                           "Haltbar bis",
                                           "Verfallsdatum",
                                           "Ablaufdatum",
                                           "Date de p\xc3\xa9remption",
                                           "\xc3\x80 utiliser avant",
                                           "Caducidad",
                                           "Fecha de vencimiento",
                                           "Scadenza",
                                           "Data di scadenza",
                                           "Houdbaar tot",
                                           "B\xc3\xa4st f\xc3\xb6re",
                                           "Data wa\xc5\xbcno\xc5\x9b"
                                           "ci",
                                           "Validade",
                                           "Retest date",
                                           "Re-test due",
                                           "Recertification",
                                           "Zorb",
                                           "D2"};
    static const char *const others[] = {"Received",
                                         "Delivery date",
                                         "Manufactured",
                                         "Ge\xc3\xb6"
                                         "ffnet am",
                                         "Lieferdatum",
                                         "Fecha de entrega",
                                         "Opened"};
    static const char *const past[] = {"2026-01-01", "31.12.2025", "2026-05-10"}, *const ahead[] = {"2026-05-11",
                                                                                                    "31.12.2026",
                                                                                                    "2027-03-01"};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1400000);
        add_material(j);
        const enum mr_outcome before = verdict(j);
        const size_t known = MR_COUNT(headings) - 2, k = pick(j, MR_COUNT(headings));
        beside(j, MATERIAL, headings[k], past[pick(j, 3)], pick(j, 2) == 0);
        enum mr_outcome after = verdict(j);
        count(&law, seed, headings[k], before, after, after <= MR_CONFORMS);
        const bool other = pick(j, 2) == 0;
        const char *heading = other ? others[pick(j, MR_COUNT(others))] : headings[pick(j, known)];
        j = draw(seed + 1400000);
        add_material(j);
        beside(j, MATERIAL, heading, other ? past[seed % 3] : ahead[seed % 3], true);
        after = verdict(j);
        count(&quiet, seed, heading, before, after, after != before);
    }
    tell("material past its day", &law);
    tell("material in date, and other days", &quiet);
}

static void fill(char *out, size_t size, const char *pattern, const char *unit) {
    const char *mark = strstr(pattern, "%s");
    snprintf(out, size, "%.*s%s%s", (int)(mark - pattern), pattern, unit, mark + 2);
}

/* Values in um under another unit, or under their own, in one of the places where a unit may stand. */
static const char *in_unit(struct whole_job *j, const char *unit) {
    static const char *const headings[] = {"DFT (%s) 1", "DFT %s 1", "%s DFT", "DFT [%s] R1", "DFT %s final"},
                             *const lines[] = {"Unidades: %s\n", "Einheiten: %s\n", "Unit\xc3\xa9 de mesure: %s\n",
                                               "Jednostki: %s\n", "Meeteenheid: %s\n"},
                             *const columns[] = {"Messeinheit", "Unidad de medida", "Jednostka miary",
                                                 "M\xc3\xa5ttenhet"};
    static char text[80];
    struct table *t = &j->file[FILM];
    const size_t place = pick(j, 3);
    snprintf(t->cell[0][5], CELL, "DFT");
    if (place == 0) {
        fill(text, sizeof text, headings[pick(j, MR_COUNT(headings))], unit);
        snprintf(t->cell[0][5], CELL, "%.*s", CELL - 1, text);
    } else if (place == 1) {
        fill(text, sizeof text, lines[pick(j, MR_COUNT(lines))], unit);
        t->above = text;
    } else {
        snprintf(text, sizeof text, "%s", columns[pick(j, MR_COUNT(columns))]);
        beside(j, FILM, text, unit, true);
    }
    return text;
}

Test(prop_heard, a_unit_counts_wherever_it_stands, .timeout = 600) {
    static const char *const others[] = {"mil", "mils", "mm", "nm", "mV", "thou"};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1500000);
        const enum mr_outcome before = verdict(j);
        const char *what = in_unit(j, others[pick(j, MR_COUNT(others))]);
        enum mr_outcome after = verdict(j);
        count(&law, seed, what, before, after, after <= MR_CONFORMS);
        j = draw(seed + 1500000);
        what = in_unit(j, "um");
        after = verdict(j);
        count(&quiet, seed, what, before, after, after != before);
    }
    tell("a unit that the values contradict", &law);
    tell("the values' own unit in other places", &quiet);
}

/* A title of its own, behind a blank line or not, with the heading once more or not. */
static const char *titled(struct whole_job *j, struct table *t, const char *title, bool whole) {
    static char text[400];
    snprintf(text, sizeof text, "%s%s\n", whole || pick(j, 2) ? "\n" : "", title);
    if (whole || pick(j, 2))
        for (size_t c = 0; c < t->columns; c++)
            snprintf(text + strlen(text), sizeof text - strlen(text), "%s%s", t->cell[0][c],
                     c + 1 < t->columns ? "," : "\n");
    t->between = text;
    t->between_row = 2 + pick(j, t->rows - 3);
    return title;
}

Test(prop_heard, readings_below_a_title_of_something_else_prove_nothing, .timeout = 600) {
    static const char *const of_film[] = {"Test plate",
                                          "Shim check",
                                          "Wet film",
                                          "Deleted readings",
                                          "Verworfene Messungen",
                                          "Training",
                                          "Type,shim check",
                                          "Batch,Calibration foil",
                                          "Another job: North pier",
                                          "# deleted",
                                          "Primer",
                                          "Lecturas anuladas",
                                          "Letture scartate",
                                          "Odrzucone pomiary",
                                          "Do not use",
                                          "Bare steel",
                                          "Probeplatte",
                                          "Plaque d'essai",
                                          "Surface: uncoated",
                                          "Outliers"};
    static const char *const of_others[] = {"Training",        "Simulated data", "Demo",        "Do not use",
                                            "Deleted rows",    "Forecast",       "Another job", "# voided",
                                            "Ung\xc3\xbcltig", "Rejected"};
    static const char *const own[] = {"Area 3",     "Second page",        "Survey of the deck",
                                      "North side", "Page 2 of 3",        "# no deleted readings",
                                      "# morning",  "Readings of the day"};
    static const size_t others[] = {CLIMATE, LINES, CHECKS};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1200000);
        const enum mr_outcome before = verdict(j);
        const bool film = pick(j, 2);
        struct table *t = &j->file[film ? FILM : others[pick(j, 3)]];
        const char *title = film ? of_film[pick(j, MR_COUNT(of_film))] : of_others[pick(j, MR_COUNT(of_others))];
        enum mr_outcome after = (titled(j, t, title, false), verdict(j));
        count(&law, seed, title, before, after, after <= MR_CONFORMS);
        title = titled(j, t, own[pick(j, MR_COUNT(own))], true);
        after = verdict(j);
        count(&quiet, seed, title, before, after, after != before);
    }
    tell("titles among the rows", &law);
    tell("harmless titles among the rows", &quiet);
}
