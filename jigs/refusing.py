"""What goes wrong in a jig's own code comes of its numbers: it is said so, and which were set.

A rule that fails names itself (`model/number.py`). Parts, places and checks are made of many
numbers at once, so the refusal names the jig, and what the user put in a rule's place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from typing import Any, TypeVar

from jigs.errors import DesignError, JigsError
from jigs.model.number import Book, Standing

Asked = TypeVar("Asked", bound=Callable[..., Any])
BY_HAND = (Standing.GIVEN, Standing.MEASURED, Standing.BUILT)


@contextmanager
def refused_as_numbers(*books: Book) -> Iterator[None]:
    """Turn an arithmetic or look-up error into a refusal.

    Parameters: books = of the jigs whose numbers are at work. Raises DesignError.
    """
    try:
        yield
    except JigsError:
        raise
    except (ArithmeticError, LookupError, ValueError) as error:
        raise no_jig(error, *books) from error


def of_its_numbers(ask: Asked) -> Asked:
    """Make a method of something that has a book `n` refuse as `refused_as_numbers` does."""

    @wraps(ask)
    def asked(self: Any, *args: Any) -> Any:
        with refused_as_numbers(self.n):
            return ask(self, *args)

    return asked  # type: ignore[return-value]


def no_jig(error: Exception, *books: Book) -> DesignError:
    """The refusal: whose numbers, what went wrong, and what was set by hand."""
    by_hand = [
        f"{book.owner}.{name} = {book[name].value}" + (f" ({where})" if where else "")
        for book in books
        for name in book
        if book[name].instead_of is not None and book[name].standing in BY_HAND
        for where in [book[name].where]
    ]
    owners = ", ".join(book.owner for book in books)
    remedy = f"look at what was set by hand: {'; '.join(by_hand[:5])}" if by_hand else (
        "look at sizes of piece, stock and machine: one is far from what they usually are"
    )  # fmt: skip
    reason = str(error) if isinstance(error, ValueError | ArithmeticError) else repr(error)
    return DesignError(owners, f"its numbers do not make a jig ({reason})", remedy)
