/*
 * banned.h - calls that no file of milrise makes, turned into errors at compile time. The Makefile includes it before
 * every source. Overlong copies, silent numbers, hidden state: each has a better way in base/ (mr_printf, mr_strdup,
 * mr_scan_decimal, mr_scan_iso_local).
 */
#ifndef MILRISE_BASE_BANNED_H
#define MILRISE_BASE_BANNED_H

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#pragma GCC poison strcpy strcat strncpy strncat sprintf vsprintf gets strtok
#pragma GCC poison atoi atol atoll atof strtol
#pragma GCC poison gmtime localtime asctime ctime mktime
#pragma GCC poison rand srand random srandom tmpnam mktemp

#endif
