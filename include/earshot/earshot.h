/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  The whole library.
 */
#ifndef EARSHOT_H
#define EARSHOT_H

#include "earshot/coverage.h"
#include "earshot/decide.h"
#include "earshot/error.h"
#include "earshot/geometry.h"
#include "earshot/link.h"
#include "earshot/picture.h"
#include "earshot/place.h"
#include "earshot/plan.h"
#include "earshot/present.h"
#include "earshot/propagation.h"
#include "earshot/report.h"
#include "earshot/site.h"
#include "earshot/survey.h"
#include "earshot/version.h"

#endif
