"""The scene's file: read, written whole, and watched for what others do to it."""

from __future__ import annotations

from pathlib import Path

from preview.errors import UsageError
from preview.file_reading import NoFile, TooLarge, file_content
from preview.files import write_whole
from preview.scene.document import MOST_BYTES

BOM = b"\xef\xbb\xbf"


class SceneFile:
    """A file and what is known to be in it: `text`, empty where there is no file yet."""

    def __init__(self, path: Path, content: bytes | None) -> None:
        self.path, self.name = path, path.name
        self._content = content
        self._marked = (content or b"").startswith(BOM)
        self.text = "" if content is None else self._decoded(content)

    def there(self) -> bytes | None:
        """Return what is in the file now, None where there is none.

        Raises:
            UsageError: it can't be read.
        """
        try:
            return file_content(self.path, MOST_BYTES)
        except FileNotFoundError:
            return None
        except (NoFile, TooLarge) as error:
            raise UsageError(f"{self.name}: can't be read ({error})") from error
        except OSError as error:
            raise UsageError(f"{self.name}: can't be read ({error.strerror})") from error

    def changed(self) -> bool:
        """Whether it is no longer what it was read or written as."""
        return self.there() != self._content

    def read(self) -> tuple[bytes, str]:
        """Return what is in it now, as bytes and as text; `take` makes these what is known.

        Raises:
            UsageError: it is gone, or is no text.
        """
        content = self.there()
        if content is None:
            raise UsageError(f"{self.name}: the file is gone")
        return content, self._decoded(content)

    def take(self, content: bytes) -> None:
        """Take for what is known of the file what was read."""
        self._content, self.text = content, self._decoded(content)

    def write(self, text: str) -> None:
        """Write a text whole, or nothing; one that began with a byte order mark still does.

        Raises:
            UsageError: it can't be written.
        """
        content = BOM * self._marked + text.encode()
        write_whole(self.path, content)
        self._content, self.text = content, text

    def _decoded(self, content: bytes) -> str:
        try:
            return content.decode("utf-8-sig")
        except UnicodeDecodeError:
            raise UsageError(f"{self.name}: no text in UTF-8") from None
