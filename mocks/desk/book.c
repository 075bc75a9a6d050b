#include "book.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

static void
add_phrase(struct Book *book, const struct State *state, struct Phrase phrase)
{
    assert(book->count < BOOK_PHRASES);
    if (phrase.run_key != NULL)
        phrase.run = Field_find(phrase.run_scope, phrase.run_key);
    book->phrases[book->count++] = phrase;
    book->messages += State_objects(state, phrase.scope);
}

/* A desk without a graphic has nothing to say of its bands. */
static bool
has_values(const struct Phrase *phrase, const struct State *state)
{
    return phrase->whole || State_objects(state, phrase->run_scope) > 0;
}

static bool
is_listed(const struct Dialect *dialect, const struct Field *field)
{
    for (size_t i = 0; i < dialect->count; i++) {
        const struct Phrase *phrase = &dialect->phrases[i];

        if (phrase->whole && phrase->scope == field->scope)
            return true;
        if (phrase->run_key != NULL && phrase->run_scope == field->scope &&
            strcmp(phrase->run_key, field->key) == 0)
            return true;
    }
    return false;
}

/* The field's address behind a prefix, with or without the indices' parts. */
static const char *
make_address(char out[ADDRESS_SIZE], const char *prefix, const char *address, bool apart)
{
    size_t used = (size_t)snprintf(out, ADDRESS_SIZE, "%s", prefix);

    for (; *address != '\0' && used < ADDRESS_SIZE - 1; address++) {
        if (apart && strncmp(address, "/#", 2) == 0)
            address++;
        else
            out[used++] = *address;
    }
    out[used] = '\0';
    return out;
}

static void
add_single(struct Book *book, const struct State *state, const struct Field *field)
{
    const struct Dialect *dialect = book->dialect;
    struct Phrase phrase = {.scope = field->scope, .style = dialect->style, .only = field};
    char(*addresses)[ADDRESS_SIZE] = book->addresses[book->count];

    if (dialect->ask != NULL)
        phrase.ask =
            make_address(addresses[0], dialect->ask, field->address, dialect->indices_apart);
    phrase.answer =
        make_address(addresses[1], dialect->answer, field->address, dialect->indices_apart);
    add_phrase(book, state, phrase);
}

static void
add_questions(struct Book *book, const struct State *state, const struct Phrase *phrase)
{
    struct Node node = {.kind = NODE_QUESTION, .phrase = phrase};
    char address[ADDRESS_SIZE];

    if (phrase->ask == NULL)
        return;
    if (strchr(phrase->ask, '#') == NULL) {
        Addresses_add(&book->questions, phrase->ask, node);
        return;
    }
    for (; node.object < State_objects(state, phrase->scope); node.object++) {
        Address_expand(phrase->ask, state, phrase->scope, node.object, address);
        Addresses_add(&book->questions, address, node);
    }
}

bool
Book_init(struct Book *book, const struct Dialect *dialect, const struct State *state)
{
    *book = (struct Book){.dialect = dialect};
    for (size_t i = 0; i < dialect->count; i++)
        if (has_values(&dialect->phrases[i], state))
            add_phrase(book, state, dialect->phrases[i]);
    for (size_t i = 0; i < FIELDS_COUNT; i++)
        if (FIELDS[i].address != NULL && !is_listed(dialect, &FIELDS[i]))
            add_single(book, state, &FIELDS[i]);
    if (!Addresses_init(&book->questions, book->messages))
        return false;
    for (size_t i = 0; i < book->count; i++)
        add_questions(book, state, &book->phrases[i]);
    return true;
}

void
Book_release(struct Book *book)
{
    Addresses_release(&book->questions);
}

const struct Phrase *
Book_message(const struct Book *book, const struct State *state, size_t message, size_t *object)
{
    const struct Phrase *phrase = book->phrases;

    assert(message < book->messages);
    while (message >= State_objects(state, phrase->scope))
        message -= State_objects(state, phrase++->scope);
    *object = message;
    return phrase;
}

const struct Phrase *
Book_tells(const struct Book *book, const struct State *state, const struct Field *field,
           size_t *object)
{
    size_t i = 0;

    while (i < book->count && !Phrase_holds(&book->phrases[i], state, field, object))
        i++;
    assert(i < book->count); /* every field is in some phrase */
    return &book->phrases[i];
}
