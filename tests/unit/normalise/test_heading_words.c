/*
 * test_heading_words.c - headings in nine languages and the meaning of each column; and headings that are never a
 * sensor. The words are the trade's daily ones in each language (common practice, no source).
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

struct heading_case {
    const char *language, *heads, *row, *meanings; /* separated by ';' */
};

#define FILM_ROW "2026-05-13;09:00;Deck 1;3;212;fine"
#define FILM_IS "date;time;zone;spot;thickness;note"
#define AREA_ROW "2026-05-13;09:00;Deck 1;2;3;212;G1"
#define AREA_IS "date;time;zone;area id;spot;thickness;serial"
#define ZONE_ROW "Deck 1;25;6;2"
#define ZONE_IS "zone;area;steel thickness;coats"
#define CLIMATE_ROW "2026-05-13;09:00;20.5;55;11.1;19.5"
#define CLIMATE_IS "date;time;air;humidity;dew point;steel"

static const struct heading_case headings[] = {
    {"English", "Date;Time;Zone;Spot;Dry film thickness [um];Note", FILM_ROW, FILM_IS},
    {"German", "Datum;Uhrzeit;Bereich;Messpunkt;Schichtdicke [µm];Bemerkung", FILM_ROW, FILM_IS},
    {"French", "Jour;Heure;Secteur;Point de mesure;Épaisseur [µm];Remarque", FILM_ROW, FILM_IS},
    {"Spanish", "Fecha;Hora;Zona;Punto de medida;Espesor [µm];Observaciones", FILM_ROW, FILM_IS},
    {"Italian", "Data;Ora;Zona;Punto di misura;Spessore [µm];Nota", FILM_ROW, FILM_IS},
    {"Dutch", "Datum;Tijd;Gebied;Meetpunt;Laagdikte [µm];Opmerking", FILM_ROW, FILM_IS},
    {"Portuguese", "Data;Hora;Zona;Ponto;Espessura [µm];Observações", FILM_ROW, FILM_IS},
    {"Swedish", "Datum;Tid;Område;Mätpunkt;Skikttjocklek [µm];Anmärkning", FILM_ROW, FILM_IS},
    {"Polish", "Data;Godzina;Strefa;Punkt pomiarowy;Grubość powłoki [µm];Uwagi", FILM_ROW, FILM_IS},
    {"German", "Datum;Uhrzeit;Bereich;Fläche;Messstelle;Schichtdicke [µm];Gerätenummer", AREA_ROW, AREA_IS},
    {"French", "Jour;Heure;Secteur;Zone de mesure;Point de mesure;Épaisseur [µm];Appareil", AREA_ROW, AREA_IS},
    {"Spanish", "Fecha;Hora;Zona;Área;Punto;Espesor [µm];Equipo", AREA_ROW, AREA_IS},
    {"Italian", "Data;Ora;Zona;Area di misura;Punto;Spessore [µm];Strumento", AREA_ROW, AREA_IS},
    {"Dutch", "Datum;Tijd;Gebied;Meetvlak;Meetpunt;Laagdikte [µm];Toestel", AREA_ROW, AREA_IS},
    {"Swedish", "Datum;Tid;Område;Mätyta;Mätpunkt;Skikttjocklek [µm];Mätare", AREA_ROW, AREA_IS},
    {"German", "Bereich;Fläche [m²];Stahldicke [mm];Schichten", ZONE_ROW, ZONE_IS},
    {"French", "Secteur;Superficie [m²];Épaisseur acier [mm];Couches", ZONE_ROW, ZONE_IS},
    {"Spanish", "Zona;Área [m²];Espesor de acero [mm];Número de capas", ZONE_ROW, ZONE_IS},
    {"Italian", "Zona;Superficie [m²];Spessore acciaio [mm];Mani", ZONE_ROW, ZONE_IS},
    {"Dutch", "Gebied;Oppervlakte [m²];Staaldikte [mm];Aantal lagen", ZONE_ROW, ZONE_IS},
    {"Swedish", "Område;Yta [m²];Ståltjocklek [mm];Antal skikt", ZONE_ROW, ZONE_IS},
    {"Polish", "Strefa;Powierzchnia [m²];Grubość stali [mm];Liczba warstw", ZONE_ROW, ZONE_IS},
    {"English", "Date;Time;Air temperature [°C];Relative humidity [%];Dew point [°C];Surface temperature [°C]",
     CLIMATE_ROW, CLIMATE_IS},
    {"German", "Datum;Uhrzeit;Lufttemperatur [°C];Luftfeuchtigkeit [%];Taupunkt [°C];Stahltemperatur [°C]",
     CLIMATE_ROW, CLIMATE_IS},
    {"French",
     "Jour;Heure;Température de l'air [°C];Humidité relative [%];Point de rosée [°C];"
     "Température de l'acier [°C]",
     CLIMATE_ROW, CLIMATE_IS},
    {"Spanish",
     "Fecha;Hora;Temperatura del aire [°C];Humedad relativa [%];Punto de rocío [°C];"
     "Temperatura del acero [°C]",
     CLIMATE_ROW, CLIMATE_IS},
    {"Italian",
     "Data;Ora;Temperatura aria [°C];Umidità relativa [%];"
     "Punto di rugiada [°C];Temperatura acciaio [°C]",
     CLIMATE_ROW, CLIMATE_IS},
    {"Dutch", "Datum;Tijd;Luchttemperatuur [°C];Luchtvochtigheid [%];Dauwpunt [°C];Staaltemperatuur [°C]",
     CLIMATE_ROW, CLIMATE_IS},
    {"Portuguese",
     "Data;Hora;Temperatura do ar [°C];Umidade relativa [%];Ponto de orvalho [°C];Temperatura do aço [°C]",
     CLIMATE_ROW, CLIMATE_IS},
    {"Swedish", "Datum;Tid;Lufttemperatur [°C];Relativ luftfuktighet [%];Daggpunkt [°C];Ståltemperatur [°C]",
     CLIMATE_ROW, CLIMATE_IS},
    {"Polish",
     "Data;Godzina;Temperatura powietrza [°C];Wilgotność względna [%];Punkt rosy [°C];Temperatura stali [°C]",
     CLIMATE_ROW, CLIMATE_IS},
};

static const char *meanings_of(struct norm_rig *rig) {
    const struct mr_file *f = &rig->data->files.v[0];
    const char *out = "";
    for (size_t i = 0; i < f->n_columns; i++)
        out = mr_printf(rig->arena, "%s%s%s", out, i ? ";" : "", mr_meaning_word(f->columns[i].meaning));
    return out;
}

Test(headings, mean_what_they_say_in_nine_languages) {
    for (size_t i = 0; i < sizeof headings / sizeof headings[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv",
                 mr_printf(rig.arena, "%s\n%s\n%s\n", headings[i].heads, headings[i].row, headings[i].row), 0);
        norm_run(&rig);
        cr_expect_str_eq(meanings_of(&rig), headings[i].meanings, "%s: %s", headings[i].language, meanings_of(&rig));
        norm_end(&rig);
    }
}

/* Beside a sensor of each kind, such a column stays unread, whatever stands before or behind its word. */
static const char *const refused[] = {"RH std",          "SD RH",         "RH ±",
                                      "RH error",        "RH accuracy",   "RH target",
                                      "RH setpoint",     "RH set point",  "RH limit",
                                      "RH tol.",         "Cal. RH",       "RH std.dev.",
                                      "RH count",        "RH quality",    "RH Soll",
                                      "RH Fehler",       "RH Toleranz",   "RH Abweichung",
                                      "RH Kalibrierung", "RH consigne",   "RH erreur",
                                      "RH tolérance",    "RH étalonnage", "RH consigna",
                                      "RH desviación",   "RH límite",     "RH calibración",
                                      "RH errore",       "RH tolleranza", "RH taratura",
                                      "RH scarto",       "RH fout",       "RH streefwaarde",
                                      "RH afwijking",    "RH grens",      "RH erro",
                                      "RH alvo",         "RH desvio",     "RH fel",
                                      "RH börvärde",     "RH avvikelse",  "RH gräns",
                                      "RH błąd",         "RH zadana",     "RH odchylenie",
                                      "RH granica",      "RH dokładność", "rh_std",
                                      "RHStd",           "STD-RH",        "RH (std)",
                                      "RH uncertainty",  "RH spec",       "RH nominal",
                                      "RH Genauigkeit",  "RH resolution"};

Test(headings, of_spread_target_limit_or_calibration_are_no_sensor) {
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv",
                 mr_printf(rig.arena,
                           "Time,Air °C,RH %%,%s %%\n2026-05-13 09:00,20.5,55,2\n2026-05-13 09:05,20.6,56,2\n",
                           refused[i]),
                 0);
        norm_run(&rig);
        cr_expect(!norm_channel(&rig, 0, MR_M_RH, 1), "%s: %s", refused[i], meanings_of(&rig));
        cr_expect(norm_channel(&rig, 0, MR_M_RH, 0), "%s takes the humidity with it: %s", refused[i],
                  meanings_of(&rig));
        norm_end(&rig);
    }
}

/* Legitimate headings that such words must not take. */
static const struct {
    const char *heads;
    enum mr_meaning meaning;
} kept[] = {
    {"Time,Upper chord steel °C,RH %", MR_M_STEEL},
    {"Time,Outdoor temperature °C,RH %", MR_M_AIR},
    {"Time,Air temp °C,RH %", MR_M_AIR},
    {"Time,Steel deck °C,RH %", MR_M_STEEL},
};

Test(headings, of_sensors_stay_sensors) {
    for (size_t i = 0; i < sizeof kept / sizeof kept[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv",
                 mr_printf(rig.arena, "%s\n2026-05-13 09:00,20.5,55\n2026-05-13 09:05,20.6,56\n", kept[i].heads), 0);
        norm_run(&rig);
        cr_expect(norm_channel(&rig, 0, kept[i].meaning, 0), "%s: %s", kept[i].heads, meanings_of(&rig));
        norm_end(&rig);
    }
}
