/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/palette.h"

/* The steps of the 256-colour palette that lie nearest to an even rise of lightness from blue over grey to yellow;
 * L* 7.5, 14.1, 28.9, 41.8, 49.6, 57.5, 65.1, 73.5, 83.9, 97.5. */
static const unsigned char BEHIND[ES_PALETTE_STEPS] = {17, 18, 238, 60, 243, 245, 247, 179, 185, 227};

enum { PALE = 228, DARK = 17, FIRST_BRIGHT = 5 };

unsigned es_palette_behind(unsigned digit)
{
    return BEHIND[digit < ES_PALETTE_STEPS ? digit : ES_PALETTE_STEPS - 1];
}

unsigned es_palette_digit(unsigned digit)
{
    return digit < FIRST_BRIGHT ? PALE : DARK;
}
