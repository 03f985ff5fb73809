/*
 * test_quirks.c - what field exports are made of, one small text each, read in every chunk size.
 *
 * The expected strings were written by hand from the text, not taken from a run. Form: read_rig.h.
 */
#include "read_rig.h"

#include <criterion/criterion.h>
#include <string.h>

struct quirk {
    const char *name;
    const char *text;
    size_t n; /* 0 = strlen */
    const char *expected;
};

#define TEXT(s) s, sizeof(s) - 1

static const struct quirk shapes[] = {
    {"comma", TEXT("a,b\n1,2\n3,4\n"), "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2:1|2\nb3:3|4"},
    {"semicolon with decimal comma", TEXT("t;x\n10:00;5,2\n10:01;5,31\n"),
     "UTF-8 ;, LF 1 0 2 2\nh1:t|x\nb2:10:00|5,2\nb3:10:01|5,31"},
    {"tab", TEXT("t\tx\n10:00\t5.2\n10:01\t5.3\n"), "UTF-8 t. LF 1 0 2 2\nh1:t|x\nb2:10:00|5.2\nb3:10:01|5.3"},
    {"pipe", TEXT("t|x\n10:00|5.2\n10:01|5.3\n"), "UTF-8 |. LF 1 0 2 2\nh1:t|x\nb2:10:00|5.2\nb3:10:01|5.3"},
    {"one column", TEXT("Reading\n5.2\n5.3\n"), "UTF-8 0. LF 1 0 2 1\nh1:Reading\nb2:5.2\nb3:5.3"},
    {"one column with decimal comma", TEXT("Film\n5,2\n5,3\n4,8\n"),
     "UTF-8 0, LF 1 0 2 1\nh1:Film\nb2:5,2\nb3:5,3\nb4:4,8"},
    {"quoted decimal comma under a comma", TEXT("t,x\n10:00,\"5,2\"\n10:01,\"5,3\"\n"),
     "UTF-8 ,, LF 1 0 2 2\nh1:t|x\nb2:10:00|\"5,2\"\nb3:10:01|\"5,3\""},
    {"lists inside cells", TEXT("Zone,Aliases,Area\nDeck 1,D1;Dk 1,12.5\nDeck 2,D2;Dk 2,13.5\n"),
     "UTF-8 ,. LF 1 0 2 3\nh1:Zone|Aliases|Area\nb2:Deck 1|D1;Dk 1|12.5\nb3:Deck 2|D2;Dk 2|13.5"},
    {"CRLF", TEXT("a,b\r\n1,2\r\n"), "UTF-8 ,- CRLF 1 0 2 2\nh1:a|b\nb2:1|2"},
    {"lone CR", TEXT("a,b\r1,2\r3,4\r"), "UTF-8 ,- CR 1 0 2 2\nh1:a|b\nb2:1|2\nb3:3|4"},
    {"mixed line ends", TEXT("a,b\r\n1,2\n3,4\r5,6\n"), "UTF-8 ,- mixed 1 0 2 2\nh1:a|b\nb2:1|2\nb3:3|4\nb4:5|6"},
    {"lone CR then LF lines: a blank line between", TEXT("a,b\n\r1,2\n"),
     "UTF-8 ,- mixed 1 0 3 2\nh1:a|b\n_2\nb3:1|2"},
    {"padded cells", TEXT("a , b\n 1 ,\t2 \n"), "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2:1|2"},
    {"blank lines and lines of delimiters", TEXT("a;b\n\n1;2\n;\n  \n3;4\n"),
     "UTF-8 ;- LF 1 0 3 2\nh1:a|b\n_2\nb3:1|2\n_4:|\n_5\nb6:3|4"},
    {"empty cells", TEXT("a,b,c\n,2,\n1,,3\n"), "UTF-8 ,- LF 1 0 2 3\nh1:a|b|c\nb2:|2|\nb3:1||3"},
    {"ragged rows", TEXT("a,b,c\n1,2,3\n1,2\n1,2,3,4\n4,5,6\n"),
     "UTF-8 ,- LF 1 0 2 3\nh1:a|b|c\nb2:1|2|3\nb3:1|2\nb4:1|2|3|4\nb5:4|5|6"},
    {"nothing", TEXT(""), "UTF-8 0- none 0 0 0 0"},
    {"only a line end", TEXT("\n"), "UTF-8 0- LF 0 0 0 0\n_1"},
    {"only a byte-order mark", TEXT("\xEF\xBB\xBF"), "UTF-8 0- none 0 0 0 0\n_1"},
    {"only a header", TEXT("time,temp,rh\n"), "UTF-8 ,- LF 1 0 2 3\nh1:time|temp|rh"},
};

static const struct quirk quotes[] = {
    {"quoted delimiter", TEXT("a,b\n\"1,5\",2\n\"x, y\",3\n"),
     "UTF-8 ,, LF 1 0 2 2\nh1:a|b\nb2:\"1,5\"|2\nb3:\"x, y\"|3"},
    {"doubled quote", TEXT("a,b\n\"3/4\"\" plate\",2\nx,3\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2:\"3/4\" plate\"|2\nb3:x|3"},
    {"inch mark in an unquoted cell", TEXT("a,b\n3/4\" plate,2\nx,3\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2:3/4\" plate|2\nb3:x|3"},
    {"quoted line end", TEXT("a,b\n1,\"x\ny\"\n2,z\n"), "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2-3:1|\"x\\x0ay\"\nb4:2|z"},
    {"quoted CRLF", TEXT("a,b\r\n1,\"x\r\n\r\ny\"\r\n2,z\r\n"),
     "UTF-8 ,- CRLF 1 0 2 2\nh1:a|b\nb2-4:1|\"x\\x0d\\x0a\\x0d\\x0ay\"\nb5:2|z"},
    {"header with a line end", TEXT("\"Film\n(um)\",b\n1,2\n3,4\n"),
     "UTF-8 ,- LF 1 0 3 2\nh1-2:\"Film\\x0a(um)\"|b\nb3:1|2\nb4:3|4"},
    {"blanks around quotes", TEXT("a,b\n \"1\" , \" 2 \" \n3,4\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2:\"1\"|\"2\"\nb3:3|4"},
    {"everything quoted", TEXT("\"a\",\"b\"\n\"1\",\"2\"\n\"3\",\"4\"\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:\"a\"|\"b\"\nb2:\"1\"|\"2\"\nb3:\"3\"|\"4\""},
    {"quote behind a byte-order mark", TEXT("\xEF\xBB\xBF\"a\",b\n1,2\n3,4\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:\"a\"|b\nb2:1|2\nb3:3|4"},
    {"unclosed quote costs its own line", TEXT("a,b,c\n1,2,3\n4,\"x,6\n7,8,9\n10,11,12\n"),
     "UTF-8 ,- LF 1 0 2 3\nh1:a|b|c\nb2:1|2|3\nx3!quote:4\nb4:7|8|9\nb5:10|11|12"},
    {"two unclosed quotes", TEXT("a,b\n1,2\n\"x,3\n4,5\n\"y,6\n7,8\n9,10\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2:1|2\nx3!quote\nb4:4|5\nx5!quote\nb6:7|8\nb7:9|10"},
    {"a quote closed far below takes no rows with it", TEXT("a,b,c\n1,2,3\n4,\"x,6\n7,8,9\n10,y\",12\n13,14,15\n"),
     "UTF-8 ,- LF 1 0 2 3\nh1:a|b|c\nb2:1|2|3\nx3!quote:4\nb4:7|8|9\nb5:10|y\"|12\nb6:13|14|15"},
    {"text behind a closing quote", TEXT("a,b\n1,2\n\"x\"y,3\n4,5\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2:1|2\nx3!quote\nb4:4|5"},
    {"open quote on the last, unfinished line", TEXT("a,b\n1,2\n3,4\n5,\"x"),
     "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2:1|2\nb3:3|4\nx4!half:5"},
    {"quotes in a file of one column", TEXT("\"Eff. area\"   mm2\n1.5\n2.5\n\"3.5\"\n"),
     "UTF-8 0. LF 1 0 2 1\nh1:\"Eff. area\"   mm2\nb2:1.5\nb3:2.5\nb4:\"3.5\""},
};

static const struct quirk preambles[] = {
    {"name: value", TEXT("Serial: K8\nProbe: F2\n\nt,x\n10:00,5.2\n10:01,5.3\n"),
     "UTF-8 ,. LF 4 0 5 2\np1:Serial: K8\np2:Probe: F2\n_3\nh4:t|x\nb5:10:00|5.2\nb6:10:01|5.3"},
    {"name,value with as many cells as the table",
     TEXT("Logger,K8\nSession,41\nTime,Temp\n10:00,5.2\n10:01,5.3\n10:02,5.3\n"),
     "UTF-8 ,. LF 3 0 4 2\np1:Logger|K8\np2:Session|41\nh3:Time|Temp\nb4:10:00|5.2\nb5:10:01|5.3\nb6:10:02|5.3"},
    {"a value over the header that fits the columns", TEXT("Job,1234\nZone,Area\nD 1,12.5\nD 2,13.5\nD 3,14.5\n"),
     "UTF-8 ,. LF 2 0 3 2\np1:Job|1234\nh2:Zone|Area\nb3:D 1|12.5\nb4:D 2|13.5\nb5:D 3|14.5"},
    {"a metadata row over the header",
     TEXT("7231,\"FIELD\",NC,-5.0\nDate,Time,A (W/m^2),B\n01/02/1988,01:00,0,1\n01/02/1988,02:00,0,1\n"),
     "UTF-8 ,- LF 2 0 3 4\np1:7231|\"FIELD\"|NC|-5.0\nh2:Date|Time|A "
     "(W/m^2)|B\nb3:01/02/1988|01:00|0|1\nb4:01/02/1988|02:00|0|1"},
    {"comment lines, the header among them", TEXT("# logger: H2\n# time, air\n10:00,5.2\n10:01,5.3\n"),
     "UTF-8 ,. LF 2 0 3 2\np1:# logger: H2\nh2:# time|air\nb3:10:00|5.2\nb4:10:01|5.3"},
    {"a comment below the header", TEXT("t,x\n10:00,5.2\n# battery changed\n10:01,5.3\n"),
     "UTF-8 ,. LF 1 0 2 2\nh1:t|x\nb2:10:00|5.2\np3:# battery changed\nb4:10:01|5.3"},
    {"lines padded by a spreadsheet",
     TEXT("Report;;\nSerial: 12;;\n;;\nDate;Zone;Film\n11.05.2026;D1;5,2\n11.05.2026;D1;5,4\n;;\nMean;;5,3\n"),
     "UTF-8 ;, LF 4 0 5 3\np1:Report||\np2:Serial: "
     "12||\n_3:||\nh4:Date|Zone|Film\nb5:11.05.2026|D1|5,2\nb6:11.05.2026|D1|5,4\n"
     "_7:||\nb8:Mean||5,3"},
    {"names and units in two rows", TEXT("Time,Ch1,Ch2\n,degF,degF\n10:00,70.1,70.2\n10:01,70.2,70.3\n"),
     "UTF-8 ,. LF 1 2 3 3\nh1:Time|Ch1|Ch2\nh2:|degF|degF\nb3:10:00|70.1|70.2\nb4:10:01|70.2|70.3"},
    {"environment, names, units and sorts",
     TEXT("station,x,y,z\nTIME,RECORD,AirT,RH\nTS,RN,Deg C,%\n,,Avg,Smp\n10:00:00,1,21.5,55\n10:01:00,2,21.6,55\n"),
     "UTF-8 ,. LF 2 3 5 4\np1:station|x|y|z\nh2:TIME|RECORD|AirT|RH\nh3:TS|RN|Deg "
     "C|%\nh4:||Avg|Smp\nb5:10:00:00|1|21.5|55\nb6:10:01:00|2|21.6|55"},
    {"a rule between header and rows", TEXT("Film\n-----\n5.2\n5.3\n"),
     "UTF-8 0. LF 1 0 3 1\nh1:Film\nh2:-----\nb3:5.2\nb4:5.3"},
    {"no header", TEXT("10:00,5.2\n10:01,5.3\n10:02,5.3\n"),
     "UTF-8 ,. LF 0 0 1 2\nb1:10:00|5.2\nb2:10:01|5.3\nb3:10:02|5.3"},
    {"a header that counts its columns", TEXT("Spot,1,2,3\nA,5.1,5.2,5.3\nB,5.1,5.2,5.4\n"),
     "UTF-8 ,. LF 1 0 2 4\nh1:Spot|1|2|3\nb2:A|5.1|5.2|5.3\nb3:B|5.1|5.2|5.4"},
    {"first rows without values", TEXT("Time,T,RH\n10:00,Err,Err\n10:01,---,OL\n10:02,21.5,55\n10:03,21.5,55\n"),
     "UTF-8 ,. LF 1 0 2 3\nh1:Time|T|RH\nb2:10:00|Err|Err\nb3:10:01|---|OL\nb4:10:02|21.5|55\nb5:10:03|21.5|55"},
    {"words only", TEXT("Zone,Item,Done\nD1,hoses,yes\nD2,hoses,no\n"),
     "UTF-8 ,- LF 1 0 2 3\nh1:Zone|Item|Done\nb2:D1|hoses|yes\nb3:D2|hoses|no"},
    {"repeated header", TEXT("Time,T\n10:00,1.5\n10:01,1.6\nTime,T\n10:02,1.7\n"),
     "UTF-8 ,. LF 1 0 2 2\nh1:Time|T\nb2:10:00|1.5\nb3:10:01|1.6\nb4:Time|T\nb5:10:02|1.7"},
    {"second export joined on, with its byte-order mark",
     TEXT("\xEF\xBB\xBFTime,T\n10:00,1.5\n\xEF\xBB\xBFTime,T\n10:02,1.7\n"),
     "UTF-8 ,. LF 1 0 2 2\nh1:Time|T\nb2:10:00|1.5\nb3:Time|T\nb4:10:02|1.7"},
    {"prose is one column",
     TEXT("Dear crew, the gauge,\nas you know, was away.\nPlease use the other.\nIt is in the van, left.\nThanks.\n"),
     "UTF-8 0- LF 0 0 1 1\nb1:Dear crew, the gauge,\nb2:as you know, was away.\nb3:Please use the other.\nb4:It is "
     "in "
     "the van, left.\nb5:Thanks."},
};

static const struct quirk ends[] = {
    {"no line end, whole", TEXT("a,b\n1,2\n3,4"), "UTF-8 ,- LF 1 0 2 2\nh1:a|b\nb2:1|2\nb3:3|4"},
    {"cut between cells", TEXT("a,b,c\n1,2,3\n4,5,6\n7,8"),
     "UTF-8 ,- LF 1 0 2 3\nh1:a|b|c\nb2:1|2|3\nb3:4|5|6\nx4!half:7|8"},
    {"cut inside the last number", TEXT("t,x\n1,5.20\n2,5.21\n3,5.22\n4,5.2"),
     "UTF-8 ,. LF 1 0 2 2\nh1:t|x\nb2:1|5.20\nb3:2|5.21\nb4:3|5.22\nx5!half:4|5.2"},
    {"whole last number", TEXT("t,x\n1,5.20\n2,5.21\n3,5.22\n4,5.23"),
     "UTF-8 ,. LF 1 0 2 2\nh1:t|x\nb2:1|5.20\nb3:2|5.21\nb4:3|5.22\nb5:4|5.23"},
    {"NULs of a logger that lost power", TEXT("t,x\n1,5.2\n2,5.3\n3,5\0\0\0\0\n4,5.4\n"),
     "UTF-8 ,. LF 1 0 2 2\nh1:t|x\nb2:1|5.2\nb3:2|5.3\nx4!nul\nb5:4|5.4"},
    {"NULs at the end", TEXT("t,x\n1,5.2\n2,5.3\n3,5.4\n4,5.5\0\0"),
     "UTF-8 ,. LF 1 0 2 2\nh1:t|x\nb2:1|5.2\nb3:2|5.3\nb4:3|5.4\nx5!nul"},
    {"one bad byte in UTF-8", TEXT("Zone,\xC2\xB5m\n\xC3\x84,1\n\xFF,2\n\xC3\x96,3\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:Zone|\xC2\xB5m\nb2:\xC3\x84|1\nx3!bytes:?|2\nb4:\xC3\x96|3"},
};

static const struct quirk others[] = {
    {"a small table above, of other width",
     TEXT(
         "Place: "
         "pier\nmonth,year\n1,2008\n2,2009\n3,2007\ntime,air,rh\n10:00,5.1,50\n10:01,5.2,51\n10:02,5.3,52\n10:03,5.4,"
         "53\n\nair: temperature\n"),
     "UTF-8 ,. LF 6 0 7 3\np1:Place: "
     "pier\no2:month|year\no3:1|2008\no4:2|2009\no5:3|2007\nh6:time|air|rh\nb7:10:00|5.1|50\nb8:10:01|5.2|51\nb9:10:"
     "02|"
     "5.3|52\nb10:10:03|5.4|53\n_11\nb12:air: temperature"},
    {"one of the same width above, under its own header",
     TEXT("Point,Ref,Read\n1,10.0,10.1\n2,20.0,20.1\n3,30.0,30.2\n\nTime,T,RH\n10:00,5.1,50\n10:01,5.2,51\n10:02,5.3,"
          "52\n10:03,5.4,53\n"),
     "UTF-8 ,. LF 6 0 7 "
     "3\no1:Point|Ref|Read\no2:1|10.0|10.1\no3:2|20.0|20.1\no4:3|30.0|30.2\n_5\nh6:Time|T|RH\nb7:10:00|5.1|50\nb8:10:"
     "01|5.2|51\nb9:10:02|5.3|52\nb10:10:03|5.4|53"},
    {"a header of other order below",
     TEXT("Time,T1,T2\n10:00,5.1,9.1\n10:01,5.2,9.2\n10:02,5.3,9.3\nTime,T2,T1\n10:03,9.4,5.4\n"),
     "UTF-8 ,. LF 1 0 2 "
     "3\nh1:Time|T1|T2\nb2:10:00|5.1|9.1\nb3:10:01|5.2|9.2\nb4:10:02|5.3|9.3\no5:Time|T2|T1\no6:10:03|9.4|5.4"},
    {"the first header once more ends the other table",
     TEXT("Time,T1,T2\n10:00,5.1,9.1\n10:01,5.2,9.2\nTime,T2,T1\n10:03,9.4,5.4\nTime,T1,T2\n10:04,5.4,9.4\n"),
     "UTF-8 ,. LF 1 0 2 "
     "3\nh1:Time|T1|T2\nb2:10:00|5.1|9.1\nb3:10:01|5.2|9.2\no4:Time|T2|T1\no5:10:03|9.4|5.4\nb6:Time|T1|T2\nb7:10:04|"
     "5."
     "4|9.4"},
    {"other names under the first one",
     TEXT("Time,T,RH\n10:00,5.1,50\n10:01,5.2,51\nTime,Dew,Steel\n10:02,1.3,7.2\n"),
     "UTF-8 ,. LF 1 0 2 3\nh1:Time|T|RH\nb2:10:00|5.1|50\nb3:10:01|5.2|51\no4:Time|Dew|Steel\no5:10:02|1.3|7.2"},
    {"a column renamed", TEXT("Time,T1,T2\n10:00,5.1,9.1\n10:01,5.2,9.2\nTime,T1,T3\n10:02,5.3,7.3\n"),
     "UTF-8 ,. LF 1 0 2 3\nh1:Time|T1|T2\nb2:10:00|5.1|9.1\nb3:10:01|5.2|9.2\no4:Time|T1|T3\no5:10:02|5.3|7.3"},
    {"a smaller table below a blank line",
     TEXT("Time,T,RH\n10:00,5.1,50\n10:01,5.2,51\n10:02,5.2,51\n\nTime,Event\n10:00,start\n"),
     "UTF-8 ,. LF 1 0 2 "
     "3\nh1:Time|T|RH\nb2:10:00|5.1|50\nb3:10:01|5.2|51\nb4:10:02|5.2|51\n_5\no6:Time|Event\no7:10:00|start"},
    {"time last in the longer table",
     TEXT("Time,T,RH\n10:00,5.1,50\n10:01,5.2,51\nT,RH,Time\n5.3,52,10:02\n5.4,53,10:03\n5.5,54,10:04\n5.6,55,10:"
          "05\n"),
     "UTF-8 ,. LF 4 0 5 "
     "3\no1:Time|T|RH\no2:10:00|5.1|50\no3:10:01|5.2|51\nh4:T|RH|Time\nb5:5.3|52|10:02\nb6:5.4|53|10:03\nb7:5.5|54|"
     "10:"
     "04\nb8:5.6|55|10:05"},
    {"a name in a row of words is no header",
     TEXT("Item,Done,Note\nhoses,yes,Note\nNote,no,see below\nguns,no,worn\n"),
     "UTF-8 ,- LF 1 0 2 3\nh1:Item|Done|Note\nb2:hoses|yes|Note\nb3:Note|no|see below\nb4:guns|no|worn"},
    {"a first row that lacks a cell", TEXT("Time,T,RH\n09:59,5.0\n10:00,5.1,50\n10:01,5.2,51\n10:02,5.3,52\n"),
     "UTF-8 ,. LF 1 0 2 3\nh1:Time|T|RH\nb2:09:59|5.0\nb3:10:00|5.1|50\nb4:10:01|5.2|51\nb5:10:02|5.3|52"},
    {"items of a list are a preamble",
     TEXT("1. Gauge, as sent\n2. Probe, new\n3. Shims, old\nTime,T,RH\n10:00,5.1,50\n10:01,5.2,51\n10:02,5.3,52\n"),
     "UTF-8 ,. LF 4 0 5 3\np1:1. Gauge|as sent\np2:2. Probe|new\np3:3. "
     "Shims|old\nh4:Time|T|RH\nb5:10:00|5.1|50\nb6:10:01|5.2|51\nb7:10:02|5.3|52"},
    {"readings above, however few",
     TEXT("Time,T\n09:59,5.0\nTime,T,RH\n10:00,5.1,50\n10:01,5.2,51\n10:02,5.3,52\n10:03,5.4,53\n"),
     "UTF-8 ,. LF 3 0 4 "
     "3\no1:Time|T\no2:09:59|5.0\nh3:Time|T|RH\nb4:10:00|5.1|50\nb5:10:01|5.2|51\nb6:10:02|5.3|52\nb7:10:03|5.4|53"},
};

static const struct quirk blanks[] = {
    {"columns at fixed places",
     TEXT(" Date      Time   T    RH\n2026-05-13 10:00  5.1  50\n2026-05-13 10:01 10.2  51\n2026-05-13 10:02 10.3   "
          "52 "
          "\n"),
     "UTF-8  . LF 1 0 2 "
     "4\nh1:Date|Time|T|RH\nb2:2026-05-13|10:00|5.1|50\nb3:2026-05-13|10:01|10.2|51\nb4:2026-05-13|10:02|10.3|52"},
    {"a tab among the blanks, no header", TEXT("1 \t5.1  50\n2 5.2 51\n3  5.3 52\n"),
     "UTF-8  . LF 0 0 1 3\nb1:1|5.1|50\nb2:2|5.2|51\nb3:3|5.3|52"},
    {"a title and a place above, no header",
     TEXT(
         " Alder Ford\n 37.70 105.92 2317 m version 1\n 2026 134 5 14 0 0 10.5\n 2026 134 5 14 1 0  9.9\n 2026 134 5 "
         "14 2 0  9.2\n"),
     "UTF-8  . LF 0 0 3 "
     "7\np1:Alder|Ford\np2:37.70|105.92|2317|m|version|1\nb3:2026|134|5|14|0|0|10.5\nb4:2026|134|5|14|1|0|9.9\nb5:"
     "2026|"
     "134|5|14|2|0|9.2"},
    {"names and units behind a mark",
     TEXT("#YY MM DD WSPD ATMP\n#yr mo dy m/s  degC\n26 05 14 3.1 10.5\n26 05 14 3.1  9.9\n26 05 14 3.1 MM\n26 05 14 "
          "3.1  9.1\n"),
     "UTF-8  . LF 1 2 3 "
     "5\nh1:#YY|MM|DD|WSPD|ATMP\nh2:#yr|mo|dy|m/"
     "s|degC\nb3:26|05|14|3.1|10.5\nb4:26|05|14|3.1|9.9\nb5:26|05|14|3.1|MM\nb6:26|05|14|3.1|9.1"},
    {"a mark of its own", TEXT("# Date Time T\n2026-05-13 10:00 5.1\n2026-05-13 10:01 5.2\n2026-05-13 10:02 5.3\n"),
     "UTF-8  . LF 1 0 2 "
     "3\nh1:#|Date|Time|T\nb2:2026-05-13|10:00|5.1\nb3:2026-05-13|10:01|5.2\nb4:2026-05-13|10:02|5.3"},
    {"names of several words",
     TEXT("Date        Time   Air temp  Rel hum\n2026-05-13  10:00  5.1  50\n2026-05-13  10:01  5.2  51\n2026-05-13  "
          "10:02  5.3  52\n"),
     "UTF-8  . LF 1 0 2 "
     "4\nh1:Date|Time|Air|temp|Rel|hum\nb2:2026-05-13|10:00|5.1|50\nb3:2026-05-13|10:01|5.2|51\nb4:2026-05-13|10:02|"
     "5."
     "3|52"},
    {"one name over date and time of day",
     TEXT("Time              T   RH\n2026-05-13 10:00  5.1  50\n2026-05-13 10:01  5.2  51\n2026-05-13 10:02  5.3  "
          "52\n"),
     "UTF-8  . LF 1 0 2 "
     "4\nh1:Time|T|RH\nb2:2026-05-13|10:00|5.1|50\nb3:2026-05-13|10:01|5.2|51\nb4:2026-05-13|10:02|5.3|52"},
    {"units under their names, and a rule",
     TEXT("Date       Time   Temp   RH\n                  degC    %\n---------- ----- ----- ----\n2026-05-13 10:00   "
          "5.1   50\n2026-05-13 10:01   5.2   51\n2026-05-13 10:02   5.3   52\n"),
     "UTF-8  . LF 1 2 4 "
     "4\nh1:Date|Time|Temp|RH\nh2:degC|%\nh3:----------|-----|-----|----\nb4:2026-05-13|10:00|5.1|50\nb5:2026-05-13|"
     "10:"
     "01|5.2|51\nb6:2026-05-13|10:02|5.3|52"},
    {"names that do not fit the columns", TEXT("Time Air temp RH\n1 5.1 50 7 8\n2 5.2 51 7 8\n3 5.3 52 7 8\n"),
     "UTF-8  . LF 0 0 2 5\np1:Time|Air|temp|RH\nb2:1|5.1|50|7|8\nb3:2|5.2|51|7|8\nb4:3|5.3|52|7|8"},
    {"a row that lacks a value", TEXT("Nr T RH\n1 5.1 50\n2     51\n3 5.3 52\n4 5.4 53\n"),
     "UTF-8  . LF 1 0 2 3\nh1:Nr|T|RH\nb2:1|5.1|50\nb3:2|51\nb4:3|5.3|52\nb5:4|5.4|53"},
    {"quotes are text", TEXT("Nr Zone Film\n1 D\"1 5.1\"\n2 D\"2\" 5.2\"\n3 \"D3 5.3\"\n"),
     "UTF-8  - LF 1 0 2 3\nh1:Nr|Zone|Film\nb2:1|D\"1|5.1\"\nb3:2|D\"2\"|5.2\"\nb4:3|\"D3|5.3\""},
    {"decimal commas",
     TEXT("Date Time T RH\n2026-05-13 10:00 5,1 50,0\n2026-05-13 10:01 5,2 51,0\n2026-05-13 10:02 5,3 52,0\n"),
     "UTF-8  , LF 1 0 2 "
     "4\nh1:Date|Time|T|RH\nb2:2026-05-13|10:00|5,1|50,0\nb3:2026-05-13|10:01|5,2|51,0\nb4:2026-05-13|10:02|5,3|52,"
     "0"},
    {"a cut last line", TEXT("Nr T RH\n1 5.1 50\n2 5.2 51\n3 5.3 52\n4 5.4"),
     "UTF-8  . LF 1 0 2 3\nh1:Nr|T|RH\nb2:1|5.1|50\nb3:2|5.2|51\nb4:3|5.3|52\nx5!half:4|5.4"},
    {"NULs, a comment, a footer",
     TEXT("Nr T RH\n1 5.1 50\n2 5.2 51\n# new battery\n3 5\0\0 52\n3 5.3 52\n\nEnd of log\n"),
     "UTF-8  . LF 1 0 2 "
     "3\nh1:Nr|T|RH\nb2:1|5.1|50\nb3:2|5.2|51\np4:#|new|battery\nx5!nul\nb6:3|5.3|52\n_7\nb8:End|of|log"},
    {"byte-order mark", TEXT("\xEF\xBB\xBF Nr T RH\n1 5.1 50\n2 5.2 51\n3 5.3 52\n"),
     "UTF-8  . LF 1 0 2 3\nh1:Nr|T|RH\nb2:1|5.1|50\nb3:2|5.2|51\nb4:3|5.3|52"},
    {"not with commas", TEXT("a,b c d\n1,5 6 7\n2,5 6 7\n3,5 6 7\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:a|b c d\nb2:1|5 6 7\nb3:2|5 6 7\nb4:3|5 6 7"},
    {"not decimal commas under names with a comma", TEXT("Date,Temp\n14 5 2026,20\n14 5 2026,21\n14 5 2026,22\n"),
     "UTF-8 ,- LF 1 0 2 2\nh1:Date|Temp\nb2:14 5 2026|20\nb3:14 5 2026|21\nb4:14 5 2026|22"},
    {"not one column of texts",
     TEXT("Note\nDeck 1 at 3:15 by crew 3\nDeck 2 at 3:25 by crew 3\nDeck 3 at 3:35 by crew 3\n"),
     "UTF-8 0- LF 0 0 1 1\nb1:Note\nb2:Deck 1 at 3:15 by crew 3\nb3:Deck 2 at 3:25 by crew 3\nb4:Deck 3 at 3:35 by "
     "crew 3"},
    {"not one column of numbers with blanks", TEXT("Area\n1 200 100.5\n1 201 100.5\n1 202 100.5\n"),
     "UTF-8 0- LF 1 0 2 1\nh1:Area\nb2:1 200 100.5\nb3:1 201 100.5\nb4:1 202 100.5"},
    {"not one column of times", TEXT("Timestamp\n13 May 2026 10:00 PM\n14 May 2026 10:01 PM\n15 May 2026 10:02 PM\n"),
     "UTF-8 0- LF 1 0 2 1\nh1:Timestamp\nb2:13 May 2026 10:00 PM\nb3:14 May 2026 10:01 PM\nb4:15 May 2026 10:02 PM"},
    {"not one column of quoted texts", TEXT("\"1 2 3 4\"\n\"2 3 4 5\"\n\"3 4 5 6\"\n"),
     "UTF-8 0- LF 0 0 1 1\nb1:\"1 2 3 4\"\nb2:\"2 3 4 5\"\nb3:\"3 4 5 6\""},
    {"not prose",
     TEXT("The crew sprayed 3 decks.\nAir 20.1 C and 55 %.\nNo stops, 2 drums.\n8 12 100 readings were taken\n"),
     "UTF-8 0- LF 0 0 1 1\nb1:The crew sprayed 3 decks.\nb2:Air 20.1 C and 55 %.\nb3:No stops, 2 drums.\nb4:8 12 100 "
     "readings were taken"},
};

static void check(const struct quirk *quirk) {
    for (size_t chunk = 1; chunk <= quirk->n + 1; chunk++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        char *got = rig_read(arena, NULL, quirk->text, quirk->n, chunk, NULL);
        cr_expect_str_eq(got, quirk->expected, "%s, in chunks of %zu:\n%s", quirk->name, chunk, got);
        bool same = strcmp(got, quirk->expected) == 0;
        mr_arena_free(arena);
        if (!same)
            return;
    }
}

#define CHECK_ALL(table)                                                                                             \
    for (size_t i = 0; i < MR_COUNT(table); i++)                                                                     \
    check(&table[i])

Test(quirks, shapes_and_line_ends_are_told_in_every_chunk_size) {
    CHECK_ALL(shapes);
}

Test(quirks, quotes_are_read_and_unclosed_ones_cost_one_line) {
    CHECK_ALL(quotes);
}

Test(quirks, preambles_and_headers_are_told_apart_from_rows) {
    CHECK_ALL(preambles);
}

Test(quirks, ends_and_broken_bytes_are_set_aside) {
    CHECK_ALL(ends);
}

Test(quirks, rows_of_another_table_are_kept_apart) {
    CHECK_ALL(others);
}

Test(quirks, runs_of_blanks_divide_only_what_is_a_table) {
    CHECK_ALL(blanks);
}
