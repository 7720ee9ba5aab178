"""A folder of files in memory."""

from collections.abc import Iterable, Mapping


class MemoryFolder:
    """Files by kind and id; a finding names a file by its id alone."""

    def __init__(self, files: Mapping[tuple[str, str], bytes]) -> None:
        self.files = files

    def ids(self, kind: str) -> Iterable[str]:
        return sorted(id for of, id in self.files if of == kind)

    def misnamed(self, kind: str) -> list[str]:
        return []

    def read(self, kind: str, id: str) -> bytes | None:
        return self.files.get((kind, id))

    def name(self, kind: str, id: str) -> str:
        return f"{id}.yaml"

    def beside(self, kind: str, file: str) -> bytes | None:
        return self.files.get((kind, file))
