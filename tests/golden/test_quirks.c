/*
 * test_quirks.c - one small file for each quirk of field exports, tests/golden/quirks, and what must come of it.
 *
 * The expected lines (form: tests/support/norm_rig.h) were checked by hand against the files. Each file is described
 * once in chunks of every size up to 64 bytes and some beyond: what comes of it must never depend on how the bytes
 * arrive.
 */
#include "support/norm_rig.h"

#include "read/source.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static const struct {
    const char *file, *quirk, *expected;
} quirks[] = {
    {"bom-climate.csv", "UTF-8 with byte-order mark",
     "climate; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, Air 20.1 °C, RH 55 %; "
     "3: 2026-05-13 08:05:00, Air 20.3 °C, RH 54.5 %"},
    {"utf16le-climate.csv", "UTF-16LE with byte-order mark, tabs",
     "climate; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, Air 20.1 °C, RH 55 %; "
     "3: 2026-05-13 08:05:00, Air 20.3 °C, RH 54.5 %"},
    {"utf16be-nobom-climate.csv", "UTF-16BE without byte-order mark",
     "climate; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, Air 20.1 °C, RH 55 %; "
     "3: 2026-05-13 08:05:00, Air 20.3 °C, RH 54.5 %"},
    {"cp1252-climate.csv", "Windows-1252 degree sign",
     "climate; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, Air 20.1 °C, RH 55 %; "
     "3: 2026-05-13 08:05:00, Air 20.3 °C, RH 54.5 %"},
    {"cr-climate.csv", "lone CR line ends",
     "climate; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, Air 20.1 °C, RH 55 %; "
     "3: 2026-05-13 08:05:00, Air 20.3 °C, RH 54.5 %"},
    {"decimal-comma-temperature.csv", "decimal comma, semicolons, day-first dots",
     "temperature; 1 header, 2 used; day-first; "
     "2: 2026-05-13 08:00:00, Kanal 1 20.15 °C, Kanal 2 21.3 °C; "
     "3: 2026-05-13 08:00:10, Kanal 1 20.25 °C, Kanal 2 21.4 °C"},
    {"mixed-marks-temperature.csv", "a decimal point in a column of decimal commas",
     "temperature; 1 header, 3 used; year-first; 2: 2026-05-13 08:00:00, Ch1 20.5 °C, Ch2 21.5 °C; "
     "4: 2026-05-13 08:02:00, Ch1 20.9 °C, Ch2 21.7 °C"},
    {"thousands-zones.csv", "thousands marks in quotes",
     "zones; 1 header, 2 used; 2: zone Deck 1, area 1114.83648 m2, coats 2; "
     "3: zone Deck 2, area 116.175252 m2, coats 2"},
    {"leading-dot-thickness.csv", "leading-dot decimals in inches",
     "thickness; 1 header, 2 used; 2: no time, zone Deck 1, spot 1, film 129.54 µm, written 0.0051 in; "
     "3: no time, zone Deck 1, spot 2, film 124.46 µm, written 0.0049 in"},
    {"quoted-exponent-climate.csv", "every number quoted, padded, in exponent form",
     "climate; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, RH_out 92 %; "
     "3: 2026-05-13 08:10:00, RH_out 92 %"},
    {"unicode-minus-temperature.csv", "Unicode minus and plus signs",
     "temperature; 1 header, 2 used; year-first; 2: 2026-01-13 08:00:00, steel -4.5 °C; "
     "3: 2026-01-13 08:01:00, steel 0.5 °C"},
    {"unit-in-cell-thickness.csv", "unit in the cell",
     "thickness; 1 header, 2 used; year-first; "
     "2: 2026-05-13 08:00:00, zone Deck 1, film 132.08 µm, written 5.2 mil; "
     "3: 2026-05-13 08:01:00, zone Deck 1, film 130 µm"},
    {"overload-thickness.csv", "OL, dashes, Err, n/a, blank",
     "thickness; 1 header, 2 used, no-value 5; year-first; "
     "2: 2026-05-13 08:00:00, zone Deck 1, film 130 µm; 8: 2026-05-13 08:06:00, zone Deck 1, film 131 µm"},
    {"sentinel-climate.csv", "sentinels of the -9999 family",
     "climate; 1 header, 3 used, no-value 1; year-first; 3: 2026-05-13 08:01:00, air temp 20.5 °C; "
     "5: 2026-05-13 08:03:00, air temp 20.6 °C, RH 56 %"},
    {"iso-offset-temperature.csv", "ISO 8601 with fraction and offset",
     "temperature; 1 header, 2 used; year-first; UTC; 2: 2026-05-13 06:00:00.250, steel_temp 15.5 °C; "
     "3: 2026-05-13 06:00:01.250, steel_temp 15.6 °C"},
    {"month-first-thickness.csv", "month first, twelve-hour clock, proved by the 13th",
     "thickness; 1 header, 3 used; month-first; "
     "2: 2026-05-13 08:05:12, zone T1, film 129.54 µm, written 5.1 mil; "
     "4: 2026-05-13 13:15:00, zone T1, film 127 µm, written 5 mil"},
    {"day-month-open-thickness.csv", "no evidence for day and month", "thickness; 1 header, 0 used, date-order 2"},
    {"day-month-contradiction-thickness.csv", "dates that contradict each other",
     "thickness; 1 header, 0 used, date-order 2"},
    {"midnight-order-temperature.csv", "the order told by a log that runs past midnight",
     "temperature; 1 header, 4 used; day-first; 2: 2026-06-05 23:50:00, Ch1 15.5 °C; "
     "5: 2026-06-06 00:05:00, Ch1 15.2 °C"},
    {"month-names-temperature.csv", "month names, two-digit year",
     "temperature; 1 header, 2 used; day-first; 2: 2026-05-11 08:00:00, Ch1 15.5 °C; "
     "3: 2026-10-12 08:00:00, Ch1 15.4 °C"},
    {"tmy-climate.csv", "24:00 and a format in the header",
     "climate; 1 header, 3 used; month-first; 2: 2026-01-01 23:00:00, Dry-bulb 10 °C, RHum 77 %; "
     "4: 2026-01-02 01:00:00, Dry-bulb 9 °C, RHum 80 %"},
    {"epoch-seconds-pressure.csv", "epoch seconds",
     "pressure; 1 header, 2 used; UTC; "
     "2: 2026-05-13 08:00:00, line A 551.580583 kPa, line B 558.475341 kPa; "
     "3: 2026-05-13 08:00:01, line A 555.027962 kPa, line B 558.475341 kPa"},
    {"epoch-ms-pressure.csv", "epoch milliseconds",
     "pressure; 1 header, 2 used; UTC; 2: 2026-05-13 08:00:00.250, part A 550 kPa, part B 560 kPa; "
     "3: 2026-05-13 08:00:00.500, part A 540 kPa, part B 560 kPa"},
    {"compact-hour-climate.csv", "YYYYMMDDHH, not to be taken for an epoch",
     "climate; 1 header, 3 used; year-first; 2: 2026-05-14 22:00:00, RH 78.2 %; 4: 2026-05-15 00:00:00, RH 80.5 %"},
    {"colon-compact-climate.csv", "YYYYMMDD:HHMM, the header says UTC",
     "climate; 1 header, 2 used; year-first; UTC; 2: 2026-05-14 23:00:00, Air 10.5 °C, RH 78 %; "
     "3: 2026-05-15 00:10:00, Air 10.1 °C, RH 79 %"},
    {"hour-column-climate.csv", "a column of hours up to 24 beside the date",
     "climate; 1 header, 3 used; month-first; 2: 2026-05-13 22:00:00, Air temp 10.5 °C, RH 78 %; "
     "4: 2026-05-14 01:00:00, Air temp 10 °C, RH 80 %"},
    {"hora-utc-climate.csv", "four figures with UTC behind them, header in another language",
     "climate; 1 header, 2 used; year-first; UTC; 2: 2026-05-13 22:00:00, Air temp 10.5 °C, RH 78 %; "
     "3: 2026-05-13 23:00:00, Air temp 10.1 °C, RH 79 %"},
    {"yearday-climate.csv", "year, day of the year, HHMM without its zeros",
     "climate; 1 header, 4 used; year-first; 2: 2026-05-14 23:59:00, Air temp 10.5 °C, RH 78 %; "
     "5: 2026-05-15 01:30:00, Air temp 10 °C, RH 80 %"},
    {"parts-climate.csv", "a column for each part, month and minute both called mm",
     "climate; 1 header, 2 used; year-first; 2: 2026-05-13 22:50:00, Air 10.5 °C, RH 78 %; "
     "3: 2026-05-14 00:05:00, Air 10.1 °C, RH 79 %"},
    {"header-offset-climate.csv", "an offset from UTC in the header",
     "climate; 1 header, 2 used; month-first; UTC; 2: 2026-05-15 04:00:00, Temp 10.5 °C, RH 78 %; "
     "3: 2026-05-15 05:00:00, Temp 10.1 °C, RH 79 %"},
    {"preamble-offset-climate.csv", "an offset from UTC in the preamble",
     "climate; 3 header, 2 used, blank 1; year-first; UTC; 5: 2026-05-13 23:00:00, air 10.5 °C, rh 78 %; "
     "6: 2026-05-14 00:00:00, air 10.1 °C, rh 79 %"},
    {"serial-climate.csv", "a spreadsheet's day numbers that nothing confirms",
     "climate; 1 header, 0 used, no-time 2"},
    {"serial-2026-05-14-climate.csv", "a spreadsheet's day numbers, confirmed by the file's name",
     "climate; 1 header, 2 used; 2: 2026-05-14 08:00:00, Temp 10 °C, Humidity 78 %; "
     "3: 2026-05-14 09:00:00, Temp 10.5 °C, Humidity 79 %"},
    {"date-only-climate.csv", "several rows of one day, no time of day that can be read",
     "climate; 1 header, 0 used, no-time 3; year-first"},
    {"daily-climate.csv", "one row a day",
     "climate; 1 header, 2 used; year-first; 2: 2026-05-13 00:00:00, Air 10.5 °C, RH 78 %; "
     "3: 2026-05-14 00:00:00, Air 10 °C, RH 80 %"},
    {"merged-cells-thickness.csv", "merged cells, saved as one filled cell above blanks",
     "thickness; 1 header, 5 used; year-first; 2: 2026-05-13 09:00:00, zone Deck 1, spot 1, film 212 µm; "
     "6: 2026-05-13 09:11:00, zone Deck 2, spot 2, film 224 µm"},
    {"half-day-climate.csv", "AM and PM in a column of their own",
     "climate; 1 header, 4 used; month-first; 2: 2026-05-13 00:05:00, Air 15 °C, RH 68 %; "
     "5: 2026-05-13 13:00:00, Air 20 °C, RH 61 %"},
    {"milliseconds-temperature.csv", "milliseconds in a column of their own",
     "temperature; 1 header, 3 used; year-first; 2: 2026-05-13 09:00:00.900, CH1 21.3 °C; "
     "4: 2026-05-13 09:00:01.100, CH1 21.5 °C"},
    {"deleted-thickness.csv", "a reading that the gauge marks as deleted",
     "thickness; 1 header, 2 used, deleted 1; year-first; 2: 2026-05-13 14:03:01, zone Deck 1, film 212 µm; "
     "4: 2026-05-13 14:03:20, zone Deck 1, film 214 µm"},
    {"range-spray.csv", "start and stop in one cell",
     "spray log; 1 header, 2 used; year-first; "
     "2: 2026-05-13 09:10:00 to 2026-05-13 09:32:00, spray, zone Deck 1, coat 1; "
     "3: 2026-05-13 23:40:00 to 2026-05-14 00:10:00, spray, zone Deck 2, coat 1"},
    {"dotted-clock-temperature.csv", "clock times written with a dot",
     "temperature; 1 header, 3 used; day-first; 2: 2026-05-13 14:03:00, Ch1 21.3 °C; "
     "4: 2026-05-13 15:00:00, Ch1 21.5 °C"},
    {"midnight-dates-temperature.csv", "dates saved with a midnight beside a clock column",
     "temperature; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, Ch1 21.3 °C; "
     "3: 2026-05-13 09:00:01, Ch1 21.4 °C"},
    {"null-dates-temperature.csv", "clock times saved with a spreadsheet's first day",
     "temperature; 1 header, 2 used; day-first; 2: 2026-05-13 09:00:00, Ch1 21.3 °C; "
     "3: 2026-05-13 09:00:01, Ch1 21.4 °C"},
    {"day-shares-temperature.csv", "clock times saved as shares of the day",
     "temperature; 1 header, 2 used; day-first; 2: 2026-05-13 09:00:00, Ch1 21.3 °C; "
     "3: 2026-05-13 09:00:01, Ch1 21.4 °C"},
    {"clock-from-zero-temperature.csv", "a clock that begins at zero under a stated start",
     "temperature; 2 header, 2 used; year-first; 3: 2026-05-13 09:00:00, Ch1 21 °C; "
     "4: 2026-05-13 09:00:01, Ch1 21.1 °C"},
    {"year-front-temperature.csv", "two figures that may be the year on either side",
     "temperature; 1 header, 0 used, date-order 2"},
    {"weekday-temperature.csv", "the order told by weekdays",
     "temperature; 1 header, 2 used; day-first; 2: 2026-11-05 09:00:00, Ch1 21.3 °C; "
     "3: 2026-11-05 09:01:00, Ch1 21.4 °C"},
    {"download-time-thickness.csv", "the time of the download beside the reading's",
     "thickness; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, zone Deck 1, film 212 µm; "
     "3: 2026-05-13 09:01:00, zone Deck 1, film 214 µm"},
    {"offset-column-pressure.csv", "the offset from UTC in a column of its own",
     "pressure; 1 header, 2 used; year-first; UTC; "
     "2: 2026-05-13 14:00:00, Line A 551.580583 kPa, Line B 558.475341 kPa; "
     "3: 2026-05-13 14:10:00, Line A 551.580583 kPa, Line B 558.475341 kPa"},
    {"merged-midnight-climate.csv", "a merged date whose rows pass midnight",
     "climate; 1 header, 3 used; day-first; 2: 2026-05-13 22:00:00, Air 15 °C, RH 68 %; "
     "4: 2026-05-14 00:30:00, Air 14 °C, RH 70 %"},
    {"lettered-thickness.csv", "readings A, B and C in a row",
     "thickness; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, zone Deck 1, film 211 µm; "
     "3: 2026-05-13 09:05:00, zone Deck 1, film 225 µm"},
    {"specified-thickness.csv", "the specified and the wet film beside the measured one",
     "thickness; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, zone Deck 1, film 212 µm; "
     "3: 2026-05-13 09:01:00, zone Deck 1, film 214 µm"},
    {"side-by-side-thickness.csv", "two batches side by side: the left one is read",
     "thickness; 2 header, 2 used; year-first; 3: 2026-05-13 09:00:00, film 212 µm; "
     "4: 2026-05-13 09:01:00, film 214 µm"},
    {"steel-less-dew-climate.csv", "a difference of temperatures is no temperature",
     "climate; 1 header, 1 used; year-first; 2: 2026-05-13 09:00:00, Air 15 °C, RH 68 %, Steel 16 °C, DP 9 °C"},
    {"blocks-thickness.csv", "date, unit and zone on lines between the blocks of one export",
     "thickness; 7 header, 4 used, repeated-header 1; year-first; 5: 2026-05-13 23:59:01, film 212 µm; "
     "12: 2026-05-15 10:00:09, zone Deck 2, film 215.9 µm, written 8.5 mil"},
    {"split-by-commas-temperature.csv", "decimal commas in a file of commas",
     "temperature; 1 header, 0 used, ragged 2; year-first"},
    {"unit-changes-temperature.csv", "the header once more with another unit",
     "temperature; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, Ch1 21.3 °C; "
     "3: 2026-05-13 09:00:01, Ch1 21.4 °C"},
    {"named-lines-pressure.csv", "long form whose channels name the lines",
     "pressure; 1 header, 4 used; day-first; 2: 2026-05-13 09:00:00, Part A 551 kPa; "
     "5: 2026-05-13 09:00:01, Part B 558.475341 kPa"},
    {"restarted-temperature.csv", "a second start between two blocks of elapsed times",
     "temperature; 3 header, 5 used, repeated-header 1; year-first; 3: 2026-05-13 09:00:00, CH1 21.3 °C; "
     "9: 2026-05-13 11:00:01, CH1 25.4 °C"},
    {"day-nought-temperature.csv", "clock times saved with a spreadsheet's day nought",
     "temperature; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, Ch1 21.3 °C; "
     "3: 2026-05-13 09:00:01, Ch1 21.4 °C"},
    {"merged-shift-record.csv", "an item called gauge below a merged date",
     "shift record; 1 header, 3 used; year-first; "
     "2: 2026-05-13 00:00:00, item hoses inspected, done, role pump operator; "
     "4: 2026-05-13 00:00:00, item steel accepted, not done"},
    {"missing-m-climate.csv", "M for a missing value, in the first row too",
     "climate; 1 header, 2 used, no-value 1; year-first; "
     "3: 2026-05-14 01:53:00, tmpf 10.2777778 °C, relh 78 %; 4: 2026-05-14 02:53:00, relh 79 %"},
    {"buoy-climate.csv", "columns parted by blanks, parts of the time, air and dew point without humidity",
     "climate; 2 header, 3 used; year-first; 3: 2026-05-13 23:50:00, ATMP 10.5 °C, DEWP 6.9 °C; "
     "5: 2026-05-14 01:50:00, ATMP 10 °C, DEWP 6.8 °C"},
    {"zone-and-location-thickness.csv", "a location beside the zone",
     "thickness; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, zone Deck 1, film 212 µm; "
     "3: 2026-05-13 09:01:00, zone Deck 1, film 214 µm"},
    {"typed-thickness.csv", "a gauge that stores readings of steel and shims too, and says so",
     "thickness; 1 header, 1 used, no-film 2; year-first; 3: 2026-05-13 09:01:00, zone Deck 1, film 212 µm"},
    {"day-figures-climate.csv", "Day is the day of the year where no month stands beside it",
     "climate; 1 header, 4 used; year-first; 2: 2026-05-13 23:55:00, Air 21 °C, RH 50 %; "
     "5: 2026-05-14 09:30:00, Air 21 °C, RH 51 %"},
    {"both-units-thickness.csv", "one reading written in two units counts once",
     "thickness; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, zone Deck 1, film 212 µm; "
     "3: 2026-05-13 09:01:00, zone Deck 1, film 214 µm"},
    {"offset-word-climate.csv", "a column called Offset that holds offsets from UTC",
     "climate; 1 header, 2 used; year-first; UTC; 2: 2026-05-13 14:00:00, Air 21 °C, RH 50 %; "
     "3: 2026-05-13 14:10:00, Air 21 °C, RH 51 %"},
    {"average-verification.csv", "a verification by the average of readings",
     "verification; 1 header, 2 used; year-first; "
     "2: 2026-05-13 07:00:00, serial G7, certified 127 µm, reading 126 µm; "
     "3: 2026-05-13 17:00:00, serial G7, certified 127 µm, reading 128 µm"},
    {"blank-blocks-temperature.csv", "columns parted by blanks, a second date and start between two blocks",
     "temperature; 5 header, 4 used, blank 3, repeated-header 1; year-first; "
     "5: 2026-05-13 09:00:00, CH1 21 °C, CH2 22 °C; 13: 2026-05-14 10:00:01, CH1 31 °C, CH2 32 °C"},
    {"elapsed-temperature.csv", "elapsed seconds with a start in the preamble",
     "temperature; 3 header, 3 used; year-first; 4: 2026-05-13 07:30:00, Ch1 20.5 °C; "
     "6: 2026-05-14 08:30:00, Ch1 20.7 °C"},
    {"elapsed-no-start-temperature.csv", "elapsed seconds without a start",
     "temperature; 1 header, 0 used, no-time 2"},
    {"clock-only-temperature.csv", "time of day only, date in the preamble, past midnight",
     "temperature; 2 header, 3 used, blank 1; year-first; 4: 2026-05-13 23:58:00, Ch1 20.5 °C; "
     "6: 2026-05-14 00:00:00, Ch1 20.7 °C"},
    {"spray-2026-05-13.csv", "spray log: times only, stop past midnight, date in the name",
     "spray log; 1 header, 4 used; year-first; "
     "2: 2026-05-13 22:10:00 to 2026-05-13 23:50:00, spray, date inferred, zone Deck 1, coat 1; "
     "5: 2026-05-14 00:45:00 to 2026-05-14 01:30:00, spray, date inferred, zone Deck 3, coat 1"},
    {"spray-undated.csv", "spray log without any date", "spray log; 1 header, 0 used, no-time 1"},
    {"two-row-header-temperature.csv", "names in one row, units in the next",
     "temperature; 2 header, 2 used; year-first; "
     "3: 2026-05-13 08:00:00, Temperature 1 20 °C, Temperature 2 21 °C; "
     "4: 2026-05-13 08:00:01, Temperature 1 20.1 °C, Temperature 2 21.1 °C"},
    {"hash-header-temperature.csv", "header behind a hash",
     "temperature; 1 header, 2 used, no-value 1; year-first; 2: 2026-05-13 08:00:00, Temperature 20.5 °C; "
     "4: 2026-05-13 08:00:10, Temperature 20.7 °C"},
    {"header-short-climate.csv", "one name fewer than cells: row numbers in front",
     "climate; 1 header, 3 used; year-first; 2: 2026-05-13 08:00:59, Humidity 27.272 %; "
     "4: 2026-05-13 08:02:59, Humidity 27.245 %"},
    {"repeated-header-temperature.csv", "the header once more in mid-file",
     "temperature; 1 header, 2 used, repeated-header 1; year-first; 2: 2026-05-13 08:00:00, Ch1 20.5 °C; "
     "4: 2026-05-13 08:01:00, Ch1 20.6 °C"},
    {"statistics-thickness.csv", "statistics lines at the end",
     "thickness; 1 header, 2 used, summary 3; 2: no time, zone Deck 1, spot 1, film 130 µm, serial G7; "
     "3: no time, zone Deck 1, spot 2, film 140 µm, serial G7"},
    {"withdrawn-thickness.csv",
     "readings taken back by status, by a column that says valid, by a note of one word; and some that are not",
     "thickness; 1 header, 4 used, deleted 3; year-first; 2: 2026-05-13 09:00:00, zone Deck 1, film 211 µm; "
     "8: 2026-05-13 09:06:00, zone Deck 1, film 217 µm"},
    {"flags-thickness.csv",
     "limit flags and a tolerance behind the value, which stands; estimates, brackets, bounds, which do not",
     "thickness; 1 header, 5 used, bad-number 2, no-value 2; year-first; 2: 2026-05-13 09:00:00, zone Deck 1, film "
     "211 "
     "µm; "
     "10: 2026-05-13 09:08:00, zone Deck 1, film 209 µm"},
    {"figures-as-text-thickness.csv", "figures kept as text by a formula",
     "thickness; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, zone 07, film 212 µm, serial 0412; "
     "3: 2026-05-13 09:01:00, zone 07, film 214 µm, serial 0412"},
    {"fractions-zones.csv", "fractions of an inch",
     "zones; 1 header, 2 used; 2: zone Deck 1, area 12.5419104 m2, steel 6.35 mm, profile 63.5 µm, coats 1; "
     "3: zone Deck 2, area 133.315862 m2, steel 9.525 mm, profile 63.5 µm, coats 1"},
    {"two-shims-verification.csv", "two shims side by side",
     "verification; 1 header, 2 used; year-first; "
     "2: 2026-05-13 07:00:00, serial TG-1, certified 127 µm, reading 126 µm, use before; "
     "3: 2026-05-13 17:00:00, serial TG-1, certified 254 µm, reading 253 µm, use after"},
    {"tolerance-verification.csv", "certified values with their tolerance",
     "verification; 1 header, 2 used; year-first; "
     "2: 2026-05-13 07:00:00, serial TG-1, certified 127 µm, reading 126 µm, use before; "
     "3: 2026-05-13 17:00:00, serial TG-1, certified 127 µm, reading 128 µm, use after"},
    {"duration-spray.csv", "a duration in place of a stop, past midnight too",
     "spray log; 1 header, 4 used; year-first; "
     "2: 2026-05-13 09:10:00 to 2026-05-13 09:32:00, spray, zone Deck 1, coat 1; "
     "5: 2026-05-13 23:50:00 to 2026-05-14 00:12:00, spray, zone Deck 3, coat 1"},
    {"statistics-in-cells-thickness.csv", "statistics whose word is not in the first cell",
     "thickness; 1 header, 2 used, summary 2; day-first; 2: 2026-05-11 14:03:07, area Deck 1, film 212 µm; "
     "3: 2026-05-11 14:03:17, area Deck 1, film 214 µm"},
    {"ragged-temperature.csv", "ragged rows",
     "temperature; 1 header, 8 used, ragged 2; year-first; "
     "2: 2026-05-13 08:00:00, Ch1 20.5 °C, Ch2 20.6 °C; 11: 2026-05-13 08:09:00, Ch1 20.7 °C, Ch2 20.8 °C"},
    {"half-line-temperature.csv", "a file that ends in mid-line",
     "temperature; 1 header, 2 used, half-line 1; year-first; "
     "2: 2026-05-13 08:00:00, Ch1 20.5 °C, Ch2 20.6 °C; 3: 2026-05-13 08:01:00, Ch1 20.5 °C, Ch2 20.6 °C"},
    {"long-form-temperature.csv", "long form: a channel column",
     "temperature; 1 header, 4 used; year-first; 2: 2026-05-13 08:00:00, north 20.5 °C; "
     "5: 2026-05-13 08:01:00, gun 30.6 °C"},
    {"long-form-pressure.csv", "long form of a pressure log, unit column",
     "pressure; 1 header, 4 used; year-first; 2: 2026-05-13 08:00:00, A 551.580583 kPa; "
     "5: 2026-05-13 08:01:00, B 561.922719 kPa"},
    {"fraction-climate.csv", "relative humidity as a fraction",
     "climate; 1 header, 3 used; year-first; 2: 2026-05-13 08:00:00, air 20.5 °C, RH 55 %; "
     "4: 2026-05-13 08:10:00, air 20.6 °C, RH 57 %"},
    {"no-unit-pressure.csv", "no unit, and nothing to infer it from",
     "pressure; 1 header, 0 used, no-unit 3; year-first"},
    {"unsure.csv", "thickness or base metal: unsure", "unknown; 1 header, 0 used, unknown-kind 2; year-first"},
    {"bmr-readings.csv", "base metal readings by name",
     "base metal; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, zone Deck 1, film 12 µm; "
     "3: 2026-05-13 08:01:00, zone Deck 1, film 15 µm"},
    {"verification-check.csv", "verification on shims",
     "verification; 1 header, 2 used; year-first; "
     "2: 2026-05-13 07:30:00, serial G7, certified 127 µm, reading 128 µm, use before; "
     "3: 2026-05-13 17:30:00, serial G7, certified 127 µm, reading 126.5 µm, use after"},
    {"shift-record.csv", "yes and no in words and marks",
     "shift record; 1 header, 4 used; year-first; "
     "2: 2026-05-13 00:00:00, item hoses inspected, done, role pump operator; "
     "5: 2026-05-13 00:00:00, item steel accepted, blank, role inspector"},
    {"material-log.csv", "levels as volume and mass",
     "material; 1 header, 2 used, incomplete 1; year-first; "
     "2: 2026-05-13 08:00:00, part A, drum D1, before 200 L, after 150 L; "
     "3: 2026-05-13 08:00:00, part B, drum D2, before 210 kg, after 160 kg"},
    {"quoted-newline-spray.csv", "a quoted line end in a note",
     "spray log; 1 header, 2 used; year-first; "
     "2: 2026-05-13 08:00:00 to 2026-05-13 08:30:00, spray, zone Deck 1; "
     "4: 2026-05-13 09:00:00 to 2026-05-13 09:30:00, spray, zone Deck 2"},
    {"unclosed-quote-spray.csv", "an unclosed quote",
     "spray log; 1 header, 2 used, unclosed-quote 1; year-first; "
     "2: 2026-05-13 08:00:00 to 2026-05-13 08:30:00, spray, zone Deck 1; "
     "4: 2026-05-13 10:00:00 to 2026-05-13 10:30:00, spray, zone Deck 3"},
    {"no-header-temperature.csv", "no header at all", "unknown; 0 header, 0 used, unknown-kind 2; year-first"},
    {"no-time-climate.csv", "a table of climate without time", "climate; 1 header, 0 used, no-time 2"},
    {"fixed-skips-pressure.csv", "semicolons, skipped seconds, negative pressures",
     "pressure; 1 header, 3 used; year-first; "
     "2: 2026-05-13 08:00:00, Pressure A 5.4711 kPa, Pressure B -27.3216 kPa; "
     "4: 2026-05-13 08:00:03, Pressure A 38.2638 kPa, Pressure B 5.4711 kPa"},
    {"sum-row-temperature.csv", "minimum and maximum below a log",
     "temperature; 1 header, 2 used, summary 2; month-first; "
     "2: 2026-05-13 08:00:00, Probe 1 20 °C, Probe 2 20.5555556 °C; "
     "3: 2026-05-13 08:00:10, Probe 1 20.5 °C, Probe 2 21 °C"},
    {"legend-climate.csv", "the file's legend states units by the heading's name",
     "climate; 4 header, 3 used, blank 1; year-first; 6: 2026-05-13 08:00:00, temp 12.5 °C, rhum 70 %; "
     "8: 2026-05-13 10:00:00, temp 13.9 °C, rhum 66 %"},
    {"legend-cells-temperature.csv", "a table of names and units above the table",
     "temperature; 3 header, 3 used, blank 1; day-first; 5: 2026-05-13 08:00:00, Deck probe 12.5 °C; "
     "7: 2026-05-13 10:00:00, Deck probe 13.9 °C"},
    {"legend-tenths-climate.csv", "a legend in tenths of a degree settles nothing",
     "climate; 3 header, 3 used; year-first; 4: 2026-05-13 08:00:00, RH 70 %; 6: 2026-05-13 10:00:00, RH 66 %"},
    {"legend-two-units-climate.csv", "a legend that names two units settles nothing",
     "climate; 2 header, 3 used; year-first; 3: 2026-05-13 08:00:00, rh 70 %; 5: 2026-05-13 10:00:00, rh 66 %"},
    {"unit-of-one-column-climate.csv", "a unit line that names its column; a bare neighbour",
     "climate; 2 header, 3 used; year-first; 3: 2026-05-13 08:00:00, air 18 °C, steel 12.2222222 °C, rh 70 %; "
     "5: 2026-05-13 10:00:00, air 20 °C, steel 13.3333333 °C, rh 66 %"},
    {"moist-climate.csv", "air and dew point settled by the vapour law, steel not",
     "climate; 1 header, 9 used; year-first; 2: 2026-05-13 08:00:00, temp 14 °C, rh 80 %, dew point 10.6 °C; "
     "10: 2026-05-13 16:00:00, temp 21 °C, rh 62 %, dew point 13.4 °C"},
    {"moist-fahrenheit-climate.csv", "the same in °F, where the range alone would not tell",
     "climate; 1 header, 9 used; year-first; 2: 2026-05-13 08:00:00, temp -6 °C, rh 80 %, dew point -8.88888889 °C; "
     "10: 2026-05-13 16:00:00, temp 1 °C, rh 62 %, dew point -5.5 °C"},
    {"moist-saturated-climate.csv", "saturated air fits every unit: nothing is settled",
     "climate; 1 header, 9 used; year-first; 2: 2026-05-13 08:00:00, rh 100 %; 10: 2026-05-13 16:00:00, rh 100 %"},
    {"bare-dew-climate.csv", "a bare dew point and bare steel beside air in °F",
     "climate; 1 header, 9 used; year-first; "
     "2: 2026-05-13 08:00:00, air temp 21.1111111 °C, dew point 12.7777778 °C, steel 20 °C; "
     "10: 2026-05-13 16:00:00, air temp 21.5555556 °C, dew point 13.2222222 °C, steel 20.4444444 °C"},
    {"portuguese-climate.csv", "Portuguese words; a dew point is no air",
     "climate; 1 header, 2 used; year-first; "
     "2: 2026-05-13 08:00:00, TEMPERATURA DO AR - BULBO SECO 10.5 °C, TEMPERATURA DO PONTO DE ORVALHO 6.9 °C, "
     "UMIDADE "
     "RELATIVA DO AR 78 %, TEMPERATURA DO AÇO 12.1 °C; "
     "3: 2026-05-13 09:00:00, TEMPERATURA DO AR - BULBO SECO 9.9 °C, TEMPERATURA DO PONTO DE ORVALHO 6.7 °C, UMIDADE "
     "RELATIVA DO AR 80 %, TEMPERATURA DO AÇO 12 °C"},
    {"french-capitals-climate.csv", "French capitals with accents; a difference is no temperature",
     "climate; 1 header, 2 used; day-first; "
     "2: 2026-05-13 08:00:00, TEMPÉRATURE DE L’AIR 10.5 °C, HUMIDITÉ RELATIVE 78 %, POINT DE ROSÉE 6.9 °C, "
     "TEMPÉRATURE "
     "DE SURFACE 12.1 °C; "
     "3: 2026-05-13 09:00:00, TEMPÉRATURE DE L’AIR 9.9 °C, HUMIDITÉ RELATIVE 80 %, POINT DE ROSÉE 6.7 °C, "
     "TEMPÉRATURE "
     "DE SURFACE 12 °C"},
    {"unit-words-climate.csv", "words that state their unit; HR is the hour beside a humidity",
     "climate; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, tmpf 10 °C, dwpf 7 °C, relh 81 %; "
     "3: 2026-05-13 09:00:00, tmpf 11 °C, dwpf 7 °C, relh 76 %"},
    {"rise-temperature.csv", "rises and dew points are no probes",
     "temperature; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, Probe 1 21.1111111 °C; "
     "3: 2026-05-13 08:01:00, Probe 1 26.1111111 °C"},
    {"flagged-temperature.csv", "values with a flag behind them",
     "temperature; 1 header, 2 used, bad-number 2; year-first; 2: 2026-05-13 08:00:00, Probe 1 20 °C; "
     "5: 2026-05-13 08:03:00, Probe 1 21 °C"},
    {"espesor-thickness.csv", "Spanish words, a flag behind a reading",
     "thickness; 1 header, 2 used, bad-number 1; day-first; 2: 2026-05-13 08:00:00, zone Deck 1, film 130 µm, serial "
     "G7; "
     "4: 2026-05-13 08:02:00, zone Deck 1, film 131 µm, serial G7"},
    {"tjocklek-thickness.csv", "Swedish words, unit column",
     "thickness; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, zone Deck 1, film 130 µm; "
     "3: 2026-05-13 08:01:00, zone Deck 1, film 131 µm"},
    {"reading-and-value-thickness.csv", "a running number called reading beside the value",
     "thickness; 1 header, 2 used, summary 1; year-first; 2: 2026-05-13 14:03:07, area Deck 1, film 212 µm; "
     "3: 2026-05-13 14:03:17, area Deck 1, film 214 µm"},
    {"counted-thickness.csv", "a column that counts its rows; a micro sign taken apart",
     "thickness; 1 header, 3 used; 2: no time, zone Deck 1, film 212 µm; 4: no time, zone Deck 1, film 216 µm"},
    {"wide-verification.csv", "three readings of a shim in a row",
     "verification; 1 header, 2 used; year-first; "
     "2: 2026-05-13 07:00:00, serial G7, certified 127 µm, reading 126 µm, use before; "
     "3: 2026-05-13 17:00:00, serial G7, certified 127 µm, reading 126 µm, use after"},
    {"wide-bare-verification.csv", "the same without a unit that could be told: rows count once",
     "verification; 1 header, 0 used, no-unit 2; year-first"},
    {"percent-in-name-only-climate.csv", "fractions under a heading that says %",
     "climate; 1 header, 3 used; year-first; 2: 2026-05-13 08:00:00, air 12.5 °C; 4: 2026-05-13 10:00:00, air 13.9 "
     "°C"},
    {"iso-poly-pressure.csv", "lines called by their material; main air in French",
     "pressure; 1 header, 2 used; year-first; "
     "2: 2026-05-13 09:00:00, Iso 551.580583 kPa, Poly 558.475341 kPa, Pression air 600 kPa; "
     "3: 2026-05-13 09:00:01, Iso 555.027962 kPa, Poly 561.922719 kPa, Pression air 610 kPa"},
    {"shouted-pressure.csv", "headings in capitals with their unit behind",
     "pressure; 1 header, 2 used; year-first; "
     "2: 2026-05-13 14:03:07, PRESS_A 551.580583 kPa, PRESS_B 558.475341 kPa, AIR 606.738642 kPa; "
     "3: 2026-05-13 14:03:08, PRESS_A 551.580583 kPa, PRESS_B 558.475341 kPa, AIR 606.738642 kPa"},
    {"absolute-pressure.csv", "an absolute pressure is set aside; kilogram-force",
     "pressure; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, Line B 549.1724 kPa; "
     "3: 2026-05-13 09:00:01, Line B 558.97905 kPa"},
    {"numbered-pressure.csv", "numbered pressures: none is main air",
     "unknown; 1 header, 0 used, unknown-kind 2; year-first"},
    {"kilograms-material.csv", "levels in kg by their headings",
     "material; 1 header, 2 used; day-first; 2: 2026-05-13 08:00:00, part A, drum 1, lot A101, before 220.5 kg, "
     "after "
     "170 kg; "
     "3: 2026-05-13 08:00:00, part B, drum 1, lot B201, before 221 kg, after 171.5 kg"},
    {"schicht-zones.csv", "a sum is no zone",
     "zones; 1 header, 2 used, summary 1; 2: zone Deck 1, area 12.5 m2, steel 6 mm, coats 1; "
     "3: zone Deck 2, area 20 m2, steel 6 mm, coats 1"},
    {"dead-probe-temperature.csv", "a probe that was never plugged in",
     "temperature; 1 header, 2 used; year-first; 2: 2026-05-13 09:00:00, CH1 21.3 °C; 3: 2026-05-13 09:00:01, CH1 "
     "21.4 "
     "°C"},
    {"two-tables-climate.csv", "a small table above the long one, a legend below",
     "unknown; 3 header, 0 used, unknown-kind 4"},
    {"blanks-climate.txt", "columns at fixed places, names and units behind a mark, a value missing",
     "climate; 2 header, 3 used, ragged 1; year-first; 3: 2026-05-13 08:00:00, AirT 20.1 °C, RH 55 %; "
     "6: 2026-05-13 08:15:00, AirT 9.4 °C, RH 58 %"},
    {"blanks-one-time-climate.txt", "columns parted by blanks, one name over date and time of day, a rule",
     "climate; 3 header, 3 used, blank 2, summary 1; year-first; 5: 2026-05-13 08:00:00, Air temp 20.1 °C, RH 55 %; "
     "7: 2026-05-13 08:10:00, Air temp 9.3 °C, RH 56 %"},
    {"blanks-comma-temperature.txt", "columns parted by blanks, decimal commas",
     "temperature; 1 header, 3 used; day-first; 2: 2026-05-13 08:00:00, Kanal_1 20.1 °C; "
     "4: 2026-05-13 08:10:00, Kanal_1 20.3 °C"},
    {"other-order-temperature.csv", "a header of other order in mid-file, and the first one again",
     "temperature; 1 header, 3 used; year-first; 2: 2026-05-13 08:00:00, Ch1 20.1 °C, Ch2 30.1 °C; "
     "4: 2026-05-13 08:02:00, Ch1 20.3 °C, Ch2 30.3 °C"},
    {"other-columns-climate.csv", "a second table of the same width below",
     "climate; 1 header, 3 used; year-first; 2: 2026-05-13 08:00:00, Air temp 20.1 °C, RH 55 %; "
     "4: 2026-05-13 08:10:00, Air temp 20.3 °C, RH 57 %"},
    {"column-added-climate.csv", "a column added in mid-file, with a new header",
     "temperature; 1 header, 3 used; year-first; 2: 2026-05-13 08:00:00, Air temp 20.1 °C; "
     "4: 2026-05-13 08:10:00, Air temp 20.3 °C"},
    {"signed-climate.csv", "a rule in mid-file, remarks and a signature below",
     "climate; 1 header, 2 used, blank 1, summary 5; year-first; 2: 2026-05-13 08:00:00, Air temp 20.1 °C, RH 55 %; "
     "4: 2026-05-13 08:05:00, Air temp 20.2 °C, RH 56 %"},
    {"subtotal-thickness.csv", "subtotals between the readings",
     "thickness; 1 header, 4 used, summary 3; 2: no time, zone Deck 1, spot 1, film 129.54 µm, written 5.1 mil; "
     "6: no time, zone Deck 2, spot 2, film 142.24 µm, written 5.6 mil"},
    {"wide-readings-thickness.csv", "three readings in a row",
     "thickness; 1 header, 2 used; 2: no time, zone Deck 1, spot 1, film 130 µm; "
     "3: no time, zone Deck 1, spot 2, film 142 µm"},
};

static char *slurp(struct mr_arena *arena, const char *name, size_t *n) {
    char *path = mr_printf(arena, "tests/golden/quirks/%s", name);
    FILE *f = fopen(path, "rb");
    cr_assert(f, "%s cannot be opened", path);
    char *data = mr_alloc(arena, 1 << 16, 1);
    *n = fread(data, 1, 1 << 16, f);
    fclose(f);
    return data;
}

static void understand(struct norm_rig *rig, const char *file) {
    size_t n;
    norm_begin(rig);
    const char *data = slurp(rig->arena, file, &n);
    norm_add(rig, file, data, n);
    norm_run(rig);
}

Test(quirks, each_file_is_understood_as_the_table_says) {
    for (size_t i = 0; i < MR_COUNT(quirks); i++) {
        struct norm_rig rig;
        understand(&rig, quirks[i].file);
        cr_expect_str_eq(norm_line(&rig, 0), quirks[i].expected, "%s (%s):\n%s", quirks[i].file, quirks[i].quirk,
                         norm_line(&rig, 0));
        cr_expect(rig.status == MR_OK && norm_identity(&rig), "%s", quirks[i].file);
        norm_end(&rig);
    }
}

Test(quirks, the_size_of_chunks_never_shows) {
    for (size_t i = 0; i < MR_COUNT(quirks); i++)
        for (size_t chunk = 1; chunk <= 4096; chunk += chunk < 64 ? 1 : 509) {
            struct norm_rig rig;
            size_t n;
            norm_begin(&rig);
            const char *data = slurp(rig.arena, quirks[i].file, &n);
            struct mr_source source;
            cr_assert(mr_read_memory_in(rig.arena, rig.job, quirks[i].file, data, n, chunk, &rig.diags, &source) ==
                      MR_OK);
            mr_read_split(rig.arena, rig.job, &source, &rig.sources);
            norm_run(&rig);
            cr_assert_str_eq(norm_line(&rig, 0), quirks[i].expected, "%s in chunks of %zu", quirks[i].file, chunk);
            norm_end(&rig);
        }
}

/* Tables of one file are read one by one, each by its own heading; lines keep their numbers. */
Test(quirks, other_tables_are_read_by_their_own_heading) {
    static const struct {
        const char *file;
        size_t table;
        const char *line;
    } rows[] = {{"other-order-temperature.csv", 1,
                 "temperature; 1 header, 2 used; year-first; 6: 2026-05-13 08:03:00, Ch2 30.4 °C, Ch1 20.4 °C; "
                 "7: 2026-05-13 08:04:00, Ch2 30.5 °C, Ch1 20.5 °C"},
                {"other-order-temperature.csv", 2,
                 "temperature; 1 header, 1 used; year-first; 9: 2026-05-13 08:05:00, Ch1 20.6 °C, Ch2 30.6 °C"},
                {"unit-changes-temperature.csv", 1,
                 "temperature; 1 header, 2 used; year-first; 5: 2026-05-13 09:00:02, Ch1 21.3888889 °C; "
                 "6: 2026-05-13 09:00:03, Ch1 21.4444444 °C"},
                {"column-added-climate.csv", 1,
                 "climate; 1 header, 4 used; year-first; 6: 2026-05-13 08:15:00, Air temp 20.4 °C, RH 54 %; "
                 "9: 2026-05-13 08:30:00, Air temp 20.7 °C, RH 57 %"}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        understand(&rig, rows[i].file);
        cr_assert(rig.data->files.n > rows[i].table, "%s", rows[i].file);
        cr_expect_str_eq(norm_line(&rig, rows[i].table), rows[i].line, "%s: %s", rows[i].file,
                         norm_line(&rig, rows[i].table));
        cr_expect(norm_identity(&rig));
        norm_end(&rig);
    }
}

/* Too few rows to tell by themselves; stated in the job file, blanks divide them. */
Test(quirks, blanks_as_delimiter_can_be_stated) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_rule(&rig, "few.txt")->delimiter = "blanks";
    norm_add(&rig, "few.txt", "Date Time AirT[degC] RH[%]\n2026-05-13 08:00 20.1 55\n", 0);
    norm_run(&rig);
    cr_expect_str_eq(norm_line(&rig, 0),
                     "climate; 1 header, 1 used; year-first; 2: 2026-05-13 08:00:00, AirT 20.1 °C, RH 55 %");
    cr_expect(strstr(mr_explain_text(rig.arena, rig.data), "delimiter   blanks;"));
    norm_end(&rig);
}

Test(quirks, what_is_open_is_said_with_the_lines_that_settle_it) {
    static const struct {
        const char *file, *id, *mend;
    } rows[] = {
        {"day-month-open-thickness.csv", "date-order", "[file \"day-month-open-thickness.csv\"]\ndates = day-first"},
        {"unsure.csv", "unknown-kind", "[file \"unsure.csv\"]\nkind = thickness\ncolumn reading = thickness [um]"},
        {"no-unit-pressure.csv", "no-unit", "[file \"no-unit-pressure.csv\"]\ncolumn line A = line A [psi]"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        understand(&rig, rows[i].file);
        const char *mend = rig.data->files.v[0].mend;
        cr_expect(strncmp(mend, rows[i].mend, strlen(rows[i].mend)) == 0, "%s: %s", rows[i].file, mend);
        cr_expect(norm_count(&rig, rows[i].id) >= 1, "%s", rows[i].file);
        cr_expect(strstr(mr_explain_text(rig.arena, rig.data), "to settle it, write into job.milrise"), "%s",
                  rows[i].file);
        norm_end(&rig);
    }
}

/* The lines a person pastes into the job file, as the job file's reader would take them. */
static void paste(struct norm_rig *rig, const char *lines) {
    struct mr_file_rule *rule = NULL;
    for (const char *line = lines; *line;) {
        size_t n = strcspn(line, "\n");
        char text[400] = "", key[200] = "", value[200] = "", unit[40] = "";
        memcpy(text, line, n < sizeof text ? n : 0);
        line += n + (line[n] == '\n');
        if (sscanf(text, "[file \"%199[^\"]\"]", key) == 1) {
            rule = norm_rule(rig, mr_strdup(rig->arena, key));
        } else if (*text != '#' && sscanf(text, "%199[^=]= %199[^[\n][%39[^]]]", key, value, unit) >= 2) {
            for (char *end = key + strlen(key); end > key && end[-1] == ' ';)
                *--end = '\0';
            for (char *end = value + strlen(value); end > value && end[-1] == ' ';)
                *--end = '\0';
            if (strcmp(key, "kind") == 0)
                rule->kind = mr_strdup(rig->arena, value);
            else
                norm_rule_column(rig, rule, mr_strdup(rig->arena, key + strlen("column ")),
                                 mr_strdup(rig->arena, value), mr_strdup(rig->arena, unit));
        }
    }
}

Test(quirks, the_proposed_lines_settle_the_file_when_pasted) {
    static const struct {
        const char *file, *settled;
    } rows[] = {
        {"headerless-moist.csv",
         "climate; 0 header, 10 used; year-first; 1: 2026-05-13 00:00:00, column 3 10.5 °C, column 4 6.9 °C, "
         "column 5 78 %; 10: 2026-05-13 23:00:00, column 3 11.7 °C, column 4 7.4 °C, column 5 75 %"},
        {"headerless-parts.csv",
         "climate; 0 header, 9 used; year-first; 1: 2026-05-13 00:00:00, column 6 10.5 °C, column 7 6.9 °C, "
         "column 8 78 %; 9: 2026-05-13 08:00:00, column 6 11.7 °C, column 7 7.4 °C, column 8 75 %"},
        {"nameless-pair.csv", "climate; 1 header, 8 used; year-first; 2: 2026-05-13 00:00:00, q1 12.3 °C, q2 66 %; "
                              "9: 2026-05-13 07:00:00, q1 11.4 °C, q2 72 %"},
        {"bare-lone-temperature.csv",
         "temperature; 1 header, 3 used; year-first; 2: 2026-05-13 00:00:00, Air = shade, \"A\" 12 °C; "
         "4: 2026-05-13 02:00:00, Air = shade, \"A\" 19 °C"},
        {"unsure.csv", "thickness; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, zone Deck 1, film 12 µm; "
                       "3: 2026-05-13 08:01:00, zone Deck 1, film 15 µm"},
        {"nameless.csv", "unknown; 1 header, 0 used, unknown-kind 3; year-first"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig before, after;
        size_t n;
        norm_begin(&before);
        norm_begin(&after);
        const char *data = slurp(before.arena, rows[i].file, &n);
        norm_add(&before, rows[i].file, data, n);
        norm_run(&before);
        paste(&after, before.data->files.v[0].mend);
        norm_add(&after, rows[i].file, data, n);
        norm_run(&after);
        cr_expect_str_eq(norm_line(&after, 0), rows[i].settled, "%s, pasted:\n%s\n%s", rows[i].file,
                         before.data->files.v[0].mend, norm_line(&after, 0));
        norm_end(&after);
        norm_end(&before);
    }
}

Test(quirks, a_gap_left_to_fill_in_is_told_where_it_is_pasted_unfilled) {
    struct norm_rig rig;
    size_t n;
    norm_begin(&rig);
    struct mr_file_rule *rule = norm_rule(&rig, "nameless.csv");
    rule->kind = "?";
    norm_rule_column(&rig, rule, "q1", "?", "?");
    norm_rule_column(&rig, rule, "1", "thickness", "furlong");
    const char *data = slurp(rig.arena, "nameless.csv", &n);
    norm_add(&rig, "nameless.csv", data, n);
    norm_run(&rig);
    cr_expect(strstr(norm_first(&rig, "file-kind"), "Write one of: thickness, verification"), "%s",
              norm_first(&rig, "file-kind"));
    cr_expect(strstr(norm_first(&rig, "column-meaning"), "\"?\" is not what a column can show"), "%s",
              norm_first(&rig, "column-meaning"));
    cr_expect(strstr(norm_first(&rig, "column-unit"), "is not a unit of thickness"), "%s",
              norm_first(&rig, "column-unit"));
    cr_expect(strstr(mr_explain_text(rig.arena, rig.data), "\njob file\n"),
              "explain tells what is wrong in the job file");
    norm_end(&rig);
}
