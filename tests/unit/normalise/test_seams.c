/*
 * test_seams.c - what a column, a unit and a row mean where an export leaves it open: nothing is quietly taken for
 * something else. Common practice, no source, unless a case names one.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

/* Readings of film, samples of a meaning and rows used that a file must give. */
struct seam_case {
    const char *name, *text;
    int readings;     /* -1: not looked at */
    double first_um;  /* NaN: not looked at */
    const char *says; /* id of a diagnostic that must be there; "" = none looked for */
};

#define T(n) "2026-05-13 08:0" #n ":00"
#define NO_UM ((double)NAN)

static const struct seam_case film_cases[] = {
    {"a unit of no film is stated", "time,zone,spot,DFT (nm)\n" T(1) ",D,1,210\n" T(2) ",D,1,215\n" T(3) ",D,1,220\n",
     0, NO_UM, "no-unit"},
    {"angstroms in square brackets", "zone,spot,thickness [\xc3\x85]\nD,1,210\nD,1,215\nD,1,220\n", 0, NO_UM,
     "no-unit"},
    {"counts", "zone,spot,DFT counts\nD,1,210\nD,1,215\nD,1,220\n", 0, NO_UM, "no-unit"},
    {"a force", "zone,spot,thickness (kN)\nD,1,210\nD,1,215\nD,1,220\n", 0, NO_UM, "no-unit"},
    {"an unknown unit above the table", "Units: nm\n\nzone,spot,thickness\nD,1,210\nD,1,215\nD,1,220\n", 0, NO_UM,
     "no-unit"},
    {"any word above the table", "Units: furlong\n\nzone,spot,thickness\nD,1,210\nD,1,215\nD,1,220\n", 0, NO_UM,
     "no-unit"},
    {"a unit of another quantity above the table", "Units,psi\n\nzone,spot,thickness\nD,1,210\nD,1,215\nD,1,220\n", 0,
     NO_UM, "no-unit"},
    {"two units above the table", "Units: um, mil\n\nzone,spot,thickness\nD,1,210\nD,1,215\nD,1,220\n", 0, NO_UM,
     "no-unit"},
    {"a system of units above the table", "Units: metric\n\nzone,spot,thickness\nD,1,210\nD,1,215\nD,1,220\n", 3,
     210.0, ""},
    {"microm\xc3\xa8tres above the table", "Units: microm\xc3\xa8tres\n\nzone,spot,thickness\nD,1,210\nD,1,215\n", 2,
     210.0, ""},
    {"any word in square brackets", "zone,spot,thickness [zorb]\nD,1,210\nD,1,215\nD,1,220\n", 0, NO_UM, "no-unit"},
    {"a prefix of the SI in brackets", "zone,spot,thickness (dm)\nD,1,210\nD,1,215\nD,1,220\n", 0, NO_UM, "no-unit"},
    {"a remark in brackets", "zone,spot,thickness (dry)\nD,1,210\nD,1,215\nD,1,220\n", 3, 210.0, ""},
    {"a word below the heading", "zone,spot,thickness\n,,furlong\nD,1,210\nD,1,215\nD,1,220\n", 0, NO_UM, "no-unit"},
    {"an unknown unit between blocks", "zone,spot,thickness um\nD,1,210\nUnits,zorb\nD,1,220\n", 1, 210.0, "no-unit"},
    {"tenths of a mil", "zone,spot,DFT (0.1 mil)\nD,1,85\nD,1,90\n", 2, 8.5 * 25.4, ""},
    {"tens of micrometres", "zone,spot,DFT [x10 um]\nD,1,21\nD,1,22\n", 2, 210.0, ""},
    {"powers of ten", "zone,spot,DFT (1e-3 in)\nD,1,8.5\nD,1,9.0\n", 2, 8.5 * 25.4, ""},
    {"tenths in words", "zone,spot,DFT (tenths of mil)\nD,1,85\nD,1,90\n", 2, 8.5 * 25.4, ""},
    {"a tenth without brackets", "zone,spot,DFT 0.1 mil\nD,1,85\nD,1,90\n", 2, 8.5 * 25.4, ""},
    {"the tenth reading is no factor", "zone,spot,Reading 9 um,Reading 10 um\nD,1,210,212\n", 2, 210.0, ""},
    {"a factor above the table", "Units: 0.1 mil\n\nzone,spot,thickness\nD,1,85\nD,1,90\n", 2, 8.5 * 25.4, ""},
    {"two units by row", "zone,spot,thickness,unit\nD,1,8.5,mil\nD,1,210,um\n", 2, 8.5 * 25.4, ""},
    {"a unit column under a heading with a unit", "zone,spot,thickness (um),unit\nD,1,8.5,mil\nD,1,210,um\n", 2,
     8.5 * 25.4, ""},
    {"an unknown unit in one row", "zone,spot,thickness,unit\nD,1,8.5,mil\nD,1,210,nm\n", 1, 8.5 * 25.4, "no-unit"},
    {"a line of units rules the rows below", "zone,spot,thickness um\nD,1,210\nUnits,mils\nD,1,8.5\n", 2, 210.0, ""},
    {"spread is no film",
     "zone,spot,thickness um,DFT std um,DFT error um,DFT target um\nD,1,210,5,1,250\nD,1,212,5,1,250\n", 2, 210.0,
     ""},
    {"a target alone is no film", "zone,spot,Target thickness um\nD,1,250\nD,1,250\n", 0, NO_UM, ""},
    {"Sollschichtdicke", "zone,spot,Schichtdicke Soll um\nD,1,250\nD,1,250\n", 0, NO_UM, ""},
    {"two columns claim the film", "zone,spot,DFT um,Coating thickness um\nD,1,210,190\nD,1,212,195\n", 0, NO_UM,
     "rival-columns"},
    {"a type that is known", "zone,spot,type,thickness um\nD,1,film,210\nD,1,Coating,212\n", 2, 210.0, ""},
    {"types of no film",
     "zone,spot,type,thickness um\nD,1,film,210\nD,1,Bare steel,12\nD,1,substrate,13\nD,1,Primer,60\nD,1,Shim,125\n"
     "D,1,Zero check,0\nD,1,Calibration,250\nD,1,Test plate,251\nD,1,Reference,252\n",
     1, 210.0, "no-film"},
    {"readings taken back",
     "zone,spot,type,thickness um\nD,1,film,210\nD,1,Outlier,900\nD,1,Excluded,3\nD,1,Error,1\nD,1,Cancelled,2\n", 1,
     210.0, ""},
    {"a type under a heading nobody knows",
     "zone,spot,Messart,thickness um\nD,1,Schicht,210\nD,1,Bare steel,212\nD,1,Grundierung,60\n", 1, 210.0,
     "no-film"},
    {"a type in doubt", "zone,spot,type,thickness um\nD,1,film,210\nD,1,film?,212\n", 1, 210.0, "unknown-type"},
    {"a type nobody knows", "zone,spot,type,thickness um\nD,1,film,210\nD,1,Zorb,212\n", 1, 210.0, "unknown-type"},
    {"a last line cut in its number", "zone,spot,thickness um\nD,1,210.5\nD,1,212.5\nD,1,21", 2, 210.5, ""},
    {"a last whole number cut", "zone,spot,thickness um\nD,1,210\nD,1,212\nD,1,21", 2, 210.0, ""},
    {"a last line that is whole", "zone,spot,thickness um\nD,1,210\nD,1,212\nD,1,214", 3, 210.0, ""},
    {"a last line shorter than its fellows", "zone,spot,thickness um\nD,1,210\nD,1,212\nD,1", 2, 210.0, ""},
    {"a batch holds for its block", "Batch,1\nzone,spot,thickness um\nD,1,210\nBatch,2\nD,1,220\n", 2, 210.0, ""},
    {"a batch beside an area is none", "zone,area,spot,thickness um,Batch\nD,1,1,210,7\nD,1,2,220,7\n", 2, 210.0, ""},
    {"humidity beside film", "zone,area,spot,thickness um,RH [%]\nD,1,1,210,60\nD,1,2,220,61\n", 2, 210.0, ""},
    {"two tables, each by its own heading",
     "zone,spot,thickness um\nD,1,210\nD,2,212\n\nthickness mil,zone,spot\n8.5,E,1\n8.6,E,2\n", 4, 210.0, ""},
    {"the second table inherits the unit",
     "Unit: nm\nzone,spot,thickness\nD,1,210\nD,2,212\n\nspot,zone,thickness\n1,E,215\n2,E,216\n", 0, NO_UM,
     "no-unit"},
    {"the second table's own unit stands",
     "Unit: um\nzone,spot,thickness\nD,1,210\nD,2,212\n\nUnit: nm\n\nspot,zone,thickness\n1,E,215\n2,E,216\n", 2,
     210.0, "no-unit"},
    {"a clock set to 1970", "time,zone,spot,thickness um\n" T(1) ",D,1,210\n1970-01-01 00:03:00,D,1,212\n", 1, 210.0,
     "clock-reset"},
};

static const char *film_fault(struct norm_rig *rig, const struct seam_case *c) {
    if (rig->status != MR_OK || !norm_identity(rig))
        return "the identity";
    if (c->readings >= 0 && rig->data->readings.n != (size_t)c->readings)
        return "the number of readings";
    if (!isnan(c->first_um) && fabs(rig->data->readings.v[0].film_um - c->first_um) > 1e-9)
        return "the first reading";
    return *c->says && !norm_count(rig, c->says) ? "what is said" : NULL;
}

Test(seams, film) {
    for (size_t i = 0; i < sizeof film_cases / sizeof film_cases[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "dft.csv", film_cases[i].text, 0);
        norm_run(&rig);
        const char *fault = film_fault(&rig, &film_cases[i]);
        cr_expect(!fault, "%s: %s: %s", film_cases[i].name, fault, norm_line(&rig, 0));
        norm_end(&rig);
    }
}

/* A log and the samples that a meaning must have; the first of them. */
struct log_case {
    const char *name, *text;
    enum mr_meaning meaning;
    int samples;
    double first; /* canonical */
    const char *says;
};

#define S1 "2026-05-13 08:00:00"
#define S2 "2026-05-13 08:05:00"
#define S3 "2026-05-13 08:10:00"

static const struct log_case log_cases[] = {
    {"spread of the humidity",
     "time,Air \xc2\xb0"
     "C,RH %,RH std %\n" S1 ",20,50,2\n" S2 ",20.5,51,2\n",
     MR_M_RH, 2, 50, ""},
    {"the spread alone is no humidity",
     "time,Air \xc2\xb0"
     "C,RH std %\n" S1 ",20,2\n" S2 ",20.5,2\n",
     MR_M_RH, 0, 0, ""},
    {"a set point is no air",
     "time,Air set \xc2\xb0"
     "C,RH %\n" S1 ",20,50\n" S2 ",20,51\n",
     MR_M_AIR, 0, 0, ""},
    {"set before the word",
     "time,Set air \xc2\xb0"
     "C,RH %\n" S1 ",20,50\n" S2 ",20,51\n",
     MR_M_AIR, 0, 0, ""},
    {"Solltemperatur",
     "time,Lufttemperatur Soll \xc2\xb0"
     "C,Luftfeuchte %\n" S1 ",20,50\n" S2 ",20,51\n",
     MR_M_AIR, 0, 0, ""},
    {"a calibration value",
     "time,Air \xc2\xb0"
     "C,RH Cal. %\n" S1 ",20,50\n" S2 ",20,51\n",
     MR_M_RH, 0, 0, ""},
    {"plus and minus",
     "time,Air \xc2\xb0"
     "C,RH \xc2\xb1 %\n" S1 ",20,2\n" S2 ",20,2\n",
     MR_M_RH, 0, 0, ""},
    {"consigne",
     "time,Temp\xc3\xa9rature consigne \xc2\xb0"
     "C,Humidit\xc3\xa9 %\n" S1 ",20,50\n" S2 ",20,51\n",
     MR_M_AIR, 0, 0, ""},
    {"desviaci\xc3\xb3n",
     "time,Air \xc2\xb0"
     "C,Humedad desv. %\n" S1 ",20,2\n" S2 ",20,2\n",
     MR_M_RH, 0, 0, ""},
    {"the logger's own temperature",
     "time,Air \xc2\xb0"
     "C,RH %,Logger temp \xc2\xb0"
     "C\n" S1 ",20,50,31\n" S2 ",20,51,31\n",
     MR_M_AIR, 2, 20, ""},
    {"it is no steel",
     "time,Logger temp \xc2\xb0"
     "C\n" S1 ",20\n" S2 ",20\n",
     MR_M_STEEL, 0, 0, ""},
    {"a humidity in millivolts",
     "time,Air \xc2\xb0"
     "C,RH (mV)\n" S1 ",20,50\n" S2 ",20.5,51\n",
     MR_M_RH, 0, 0, "no-unit"},
    {"tenths of a degree",
     "time,Air (tenths of \xc2\xb0"
     "C),RH %\n" S1 ",205,50\n" S2 ",206,51\n",
     MR_M_AIR, 2, 20.5, ""},
    {"a unit column in a wide table", "time,Air,Unit,RH %\n" S1 ",68,F,50\n" S2 ",20,C,51\n", MR_M_AIR, 2, 20, ""},
    {"an unknown unit in a row of a wide table", "time,Air,Unit,RH %\n" S1 ",20,C,50\n" S2 ",21,mV,51\n", MR_M_AIR, 1,
     20, "no-unit"},
    {"a line of units rules the rows below it",
     "time,Air \xc2\xb0"
     "C,RH %\n" S1 ",20,50\nUnits,degF\n" S2 ",68,51\n",
     MR_M_AIR, 2, 20, ""},
    {"two columns claim the humidity",
     "time,Air \xc2\xb0"
     "C,RH %,Humidity %\n" S1 ",20,50,40\n" S2 ",20,51,41\n",
     MR_M_RH, 0, 0, "rival-columns"},
    {"two equal headings claim the humidity",
     "time,Air \xc2\xb0"
     "C,RH %,RH %\n" S1 ",20,50,40\n" S2 ",20,51,41\n",
     MR_M_RH, 0, 0, "rival-columns"},
    {"a clock set to 2000",
     "time,Air \xc2\xb0"
     "C,RH %\n2000-01-01 00:05:00,20,50\n" S1 ",20,50\n" S2 ",20,51\n",
     MR_M_AIR, 2, 20, "clock-reset"},
    {"a start and a sample number",
     "Start: 2026-05-13 08:00:00\nInterval: 10 s\n\nSample,Air \xc2\xb0"
     "C,RH %\n1,20,50\n2,21,51\n3,21,51\n",
     MR_M_AIR, 3, 20, ""},
    {"a start and sample numbers, of which some were left out",
     "Start: 2026-05-13 08:00:00\nInterval: 10 s\n\nSample no,Air \xc2\xb0"
     "C,RH %\n0,20,50\n1,21,51\n7,21,51\n8,21,51\n",
     MR_M_AIR, 4, 20, ""},
    {"a part of a log, of which the start says nothing",
     "Start: 2026-05-13 08:00:00\nInterval: 10 s\n\nSample,Air \xc2\xb0"
     "C,RH %\n17,20,50\n18,21,51\n25,21,51\n",
     MR_M_AIR, 0, 0, "no-time"},
    {"dotted clocks",
     "Date,Time,Air \xc2\xb0"
     "C,RH %\n2026-05-13,09.05.10,20,50\n2026-05-13,09.06.10,20,51\n",
     MR_M_AIR, 2, 20, ""},
    {"an unnamed first column of offsets",
     "Start: 2026-05-13 08:00:00\n\n,Air \xc2\xb0"
     "C,RH %\n0:00:00,20,50\n0:00:10,21,51\n",
     MR_M_AIR, 2, 20, ""},
    {"elapsed h:mm:ss",
     "Start: 2026-05-13 08:00:00\n\nElapsed,Air \xc2\xb0"
     "C,RH %\n0:00:00,20,50\n0:00:10,21,51\n",
     MR_M_AIR, 2, 20, ""},
    {"a day of the year with a share",
     "Year,Day of year,Air \xc2\xb0"
     "C,RH %\n2026,133.375,20,50\n2026,133.5,21,51\n",
     MR_M_AIR, 2, 20, ""},
    {"a last line cut",
     "time,Air \xc2\xb0"
     "C,RH %\n" S1 ",20.5,50.5\n" S2 ",20.5,51.5\n" S3 ",20.5,5",
     MR_M_RH, 2, 50.5, ""},
};

static const char *log_fault(struct norm_rig *rig, const struct log_case *c) {
    size_t n = 0;
    double first = (double)NAN;
    if (rig->status != MR_OK || !norm_identity(rig))
        return "the identity";
    for (size_t i = 0; i < rig->data->channels.n; i++) {
        const struct mr_channel *channel = &rig->data->channels.v[i];
        for (size_t k = 0; k < channel->n && channel->meaning == c->meaning; k++) {
            const double value = mr_real(&channel->value, k);
            first = isnan(value) || n ? first : value;
            n += isnan(value) ? 0 : 1;
        }
    }
    if (n != (size_t)c->samples)
        return "the number of samples";
    if (n && fabs(first - c->first) > 1e-9)
        return "the first sample";
    return *c->says && !norm_count(rig, c->says) ? "what is said" : NULL;
}

Test(seams, logs) {
    for (size_t i = 0; i < sizeof log_cases / sizeof log_cases[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "climate.csv", log_cases[i].text, 0);
        norm_run(&rig);
        const char *fault = log_fault(&rig, &log_cases[i]);
        cr_expect(!fault, "%s: %s: %s", log_cases[i].name, fault, norm_line(&rig, 0));
        norm_end(&rig);
    }
}

/* A row that gives a mean says of how many readings; what it does not say is not made up. */
Test(seams, a_mean_is_no_single_reading) {
    static const struct {
        const char *text;
        uint32_t n;
        double um, sd_um;
    } rows[] = {{"zone,spot,Mean um,N,Std um\nD,1,212,5,4.5\nD,2,215,5,3\n", 5, 212, 4.5},
                {"zone,spot,Avg DFT (mil),N\nD,1,8.5,3\nD,2,8.6,3\n", 3, 8.5 * 25.4, NO_UM},
                {"zone,spot,Average thickness um\nD,1,212\nD,2,215\n", 0, 212, NO_UM},
                {"Bereich;Messpunkt;Mittelwert [um];Anzahl\nD;1;212;5\nD;2;215;5\n", 5, 212, NO_UM},
                {"zone,spot,reading 1 um,reading 2 um,mean um\nD,1,210,214,212\n", 1, 210, NO_UM}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "dft.csv", rows[i].text, 0);
        norm_run(&rig);
        cr_assert_eq(rig.data->readings.n, 2, "%s: %s", rows[i].text, norm_line(&rig, 0));
        const struct mr_reading *r = &rig.data->readings.v[0];
        cr_expect(r->n_readings == rows[i].n && fabs(r->film_um - rows[i].um) < 1e-9 &&
                      (isnan(rows[i].sd_um) ? isnan(r->sd_um) : fabs(r->sd_um - rows[i].sd_um) < 1e-9),
                  "%s: %u, %g, %g", rows[i].text, (unsigned)r->n_readings, r->film_um, r->sd_um);
        norm_end(&rig);
    }
}

/* What stands above the first table of a file holds for the next one, unless that says another. */
Test(seams, tables_inherit_their_instrument) {
    static const struct {
        const char *between, *second;
    } cases[] = {{"\n", "TG-1"}, {"\nSerial: TG-9\n\n", "TG-9"}, {"\nGauge,TG-9\n\n", "TG-9"}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "dft.csv",
                 mr_printf(rig.arena,
                           "Serial: TG-1\nzone,spot,thickness um\nD,1,210\nD,2,212\n%sspot,zone,thickness um\n"
                           "1,E,215\n2,E,216\n",
                           cases[i].between),
                 0);
        norm_run(&rig);
        cr_assert(norm_identity(&rig) && rig.data->files.n == 2, "%s", norm_line(&rig, 0));
        cr_expect_str_eq(rig.data->files.v[0].instrument_name, "TG-1");
        cr_expect_str_eq(rig.data->files.v[1].instrument_name, cases[i].second);
        norm_end(&rig);
    }
}

/* A spreadsheet's day number with a share of it, under any heading, confirmed by the days of the work. 46153 is
 * 2026-05-11, counted from 1900 (its day 1 is 1900-01-01, and it knows a 29 February 1900). */
Test(seams, day_numbers_with_a_share) {
    static const char *const headings[] = {"Time", "Date", "serial daynum", "Serial", "Tagesnummer", "X"};
    for (size_t i = 0; i < sizeof headings / sizeof headings[0]; i++)
        for (int days = 0; days < 2; days++) {
            struct norm_rig rig;
            norm_begin(&rig);
            rig.job->first_day_local_ms = rig.job->last_day_local_ms =
                (INT64_C(20584) + days * 40) * 86400000; /* 2026-05-11, or a day that the file does not hold */
            norm_add(&rig, "climate.csv",
                     mr_printf(rig.arena,
                               "%s,Air degC,RH %%\n46153.291667,20,50\n46153.295139,20.5,51\n46153.298611,20.6,52\n",
                               headings[i]),
                     0);
            norm_run(&rig);
            const struct mr_channel *air = norm_channel(&rig, 0, MR_M_AIR, 0);
            bool taken = air && air->n == 3;
            cr_expect(norm_identity(&rig) && taken == !days, "%s: %s", headings[i], norm_line(&rig, 0));
            cr_expect(!taken || mr_whole(&air->t_ms, 0) == INT64_C(1778482800000), "%s", headings[i]);
            norm_end(&rig);
        }
}

/* Headings of spread, wish, other time, other layer and other quantity are no sensor. Common practice, no source. */
Test(seams, headings_that_refuse) {
    static const char *const films[] = {"Expected thickness um",
                                        "Predicted DFT um",
                                        "Forecast thickness um",
                                        "DFT estimated um",
                                        "Theoretical thickness um",
                                        "Calculated DFT um",
                                        "Allowed DFT um",
                                        "Permissible DFT um",
                                        "Schichtdicke gefordert um",
                                        "Mindestschichtdicke um",
                                        "\xc3\x89paisseur exig\xc3\xa9"
                                        "e um",
                                        "Espesor especificado um",
                                        "Espessura exigida um",
                                        "Spessore nominale um",
                                        "Gewenste laagdikte um",
                                        "Minimale laagdikte um",
                                        "Grubo\xc5\x9b\xc4\x87 nominalna um",
                                        "Primer thickness um",
                                        "Zinc primer DFT um",
                                        "Steel thickness um",
                                        "Plate thickness um",
                                        "Shim thickness um",
                                        "Insulation thickness um",
                                        "Last thickness um",
                                        "Old DFT um",
                                        "Prior DFT um",
                                        "Thickness yesterday um",
                                        "DFT before repair um",
                                        "Delta DFT um",
                                        "Thickness change um",
                                        "Thickness sum um",
                                        "Cumulative thickness um",
                                        "Thickness alarm um",

                                        "Thickness CI low um"};
    static const char *const moistures[] = {"RH yesterday %",    "RH forecast %",  "RH drift %",
                                            "RH hysteresis %",   "RH previous %",  "RH 24h mean %",
                                            "RH surface %",      "RH at steel %",  "RH zul\xc3\xa4ssig %",
                                            "Specific humidity", "Humidity status"};
    for (size_t i = 0; i < sizeof films / sizeof films[0] + sizeof moistures / sizeof moistures[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        size_t film = sizeof films / sizeof films[0];
        const char *heading = i < film ? films[i] : moistures[i - film];
        norm_add(&rig, i < film ? "dft.csv" : "climate.csv",
                 i < film ? mr_printf(rig.arena, "zone,spot,%s\nD,1,210\nD,1,215\n", heading)
                          : mr_printf(rig.arena,
                                      "time,Air degC,%s\n2026-05-13 08:00:00,20,50\n2026-05-13 08:05:00,20.5,51\n",
                                      heading),
                 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig) && !rig.data->readings.n && !norm_channel(&rig, 0, MR_M_RH, 0), "%s: %s",
                  heading, norm_line(&rig, 0));
        norm_end(&rig);
    }
}
