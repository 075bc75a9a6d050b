/* SPDX-License-Identifier: MIT */
#include "blob.h"

#include <math.h>
#include <string.h>

enum { BLOB_SIZE = 8 + 4 * ITEMS_LIMIT };

static const double OFF_DB = -99;

struct form_row {
    double per_db; /* 0: a float */
    size_t size;
    bool little_endian;
};

static const struct form_row form_rows[] = {
    [BLOB_INT16_BE] = {250, 2, false},  [BLOB_INT16_LE] = {250, 2, true},
    [BLOB_INT32_BE] = {5000, 4, false}, [BLOB_INT32_LE] = {5000, 4, true},
    [BLOB_FLOAT32_BE] = {0, 4, false},  [BLOB_FLOAT32_LE] = {0, 4, true},
};

static uint32_t
float_bits(double number)
{
    float narrow = (float)number;
    uint32_t bits;

    memcpy(&bits, &narrow, sizeof bits);
    return bits;
}

static uint32_t
bits_of(const struct form_row *form, const struct field *field, double number)
{
    if (form->per_db == 0)
        return float_bits(law_to_wire(field->law, number));
    return (uint32_t)(int32_t)lround((isinf(number) ? OFF_DB : number) * form->per_db);
}

/* The lowest bytes of `bits`, in the form's order. */
static void
put(const struct form_row *form, uint32_t bits, uint8_t *out)
{
    for (size_t i = 0; i < form->size; i++) {
        size_t place = form->little_endian ? i : form->size - 1 - i;

        out[place] = (uint8_t)(bits >> 8 * i);
    }
}

void
blob_write(const struct state *state, const struct item *items, size_t count, enum blob_form form,
           size_t skip, struct draft *draft)
{
    const struct form_row *row = &form_rows[form];
    uint8_t bytes[BLOB_SIZE] = {0};

    if (skip >= 4)
        wire_put_u32(bytes, (uint32_t)count);
    for (size_t i = 0; i < count; i++)
        put(row, bits_of(row, items[i].field, state_number(state, items[i].field, items[i].object)),
            bytes + skip + i * row->size);
    draft_blob(draft, bytes, skip + count * row->size);
}
