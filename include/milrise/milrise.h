/*
 * milrise.h - the whole library. read -> normalise -> align -> assess -> render; see the headers in that order.
 */
#ifndef MILRISE_MILRISE_H
#define MILRISE_MILRISE_H

#include "milrise/render.h"

#define MR_VERSION "0.1.0"

#endif
