/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Colours of the margin scale. */
#ifndef ES_PALETTE_H
#define ES_PALETTE_H

enum { ES_PALETTE_STEPS = 10 };

/* Terminal colour (256-colour palette) behind a digit, 0 to 9: dark blue over grey to yellow. Lightness (CIE L*) rises
 * with every step, so the order survives colour blindness and a grey print. */
unsigned es_palette_behind(unsigned digit);
/* Colour of the digit itself: from the far end of the same scale, so it can be read on any background. */
unsigned es_palette_digit(unsigned digit);

#endif
